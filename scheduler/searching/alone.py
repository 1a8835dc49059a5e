"""What each boat would take alone in the yard: figures that dispatch rules go by."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from scheduler.compiling.arrays import FAR, I32, Arrays
from scheduler.decoding.boat import place_boat
from scheduler.decoding.decoder import boat_finish, copy_state, new_state, open_boats
from scheduler.decoding.placing import Choices, State
from scheduler.searching.latest import latest_starts


@dataclass(frozen=True)
class Alone:
    """Ticks of open boats, each with no other open boat beside it. No bounds.

    Work that only waits, for an arrival say, counts as begun no sooner than needed: so
    a boat's flow is what the yard spends on it, however late its engine comes.
    """

    finish: I32  # per boat; FAR where it has no place even alone
    latest: I32  # per operation: the latest start that leaves that finish where it is
    first: I32  # per boat: the first of those

    def flow(self, boats: I32) -> I32:
        """Ticks from first start to finish; 0 where a boat has no place alone."""
        span = self.finish[boats] - self.first[boats]
        return np.where(self.finish[boats] < FAR, span, 0).astype(np.int32)


def alone_figures(a: Arrays, facts: State) -> Alone:
    """Place each open boat alone, with the crews that finish first."""
    state = new_state(a)
    operations = len(a.boat_of)
    finish = np.full(len(a.boat_due), FAR, np.int32)
    first = np.full(len(a.boat_due), a.now, np.int32)
    latest = np.full(operations, a.now, np.int32)
    crew, delay = np.zeros(operations, np.int8), np.zeros(operations, np.int32)
    for boat in open_boats(a):
        copy_state(facts, state, 0)
        choices = Choices(np.array([boat], np.int32), crew, delay)
        if not place_boat(a, state, choices, int(boat)):
            continue
        finish[boat] = boat_finish(a, state, int(boat))
        latest_starts(a, state, int(boat), latest)
        first[boat] = latest[a.boat_at[boat] : a.boat_at[boat + 1]].min()
    return Alone(finish, latest, first)
