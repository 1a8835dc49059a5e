"""Why no plan came out: the boats that cannot be placed even with nobody else there."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from scheduler.decoding.boat import place_boat
from scheduler.decoding.decoder import copy_state, facts_state, new_state, open_boats
from scheduler.decoding.placing import Choices

if TYPE_CHECKING:
    from scheduler.compiling.compile import Compilation


CLASH = (
    "no plan: what is done, begun, frozen or locked contradicts the calendars "
    "or takes one mold or place twice; `hullpace check` on the committed plan "
    "lists where"
)


def explain_failure(compilation: Compilation) -> str:
    """Name what stands in the way, as one clear line."""
    a = compilation.arrays
    facts, sound = facts_state(a)
    if not sound:
        return CLASH
    state = new_state(a)
    crew = np.zeros(len(a.boat_of), np.int8)
    delay = np.zeros(len(a.boat_of), np.int32)
    stuck = []
    for boat in open_boats(a):
        copy_state(facts, state, 0)
        choices = Choices(np.array([boat], np.int32), crew, delay)
        if not place_boat(a, state, choices, int(boat)):
            stuck.append(compilation.orders[boat])
    last = compilation.problem.axis.local(a.ticks - 1).date().isoformat()
    if stuck:
        return (
            f"no plan: {', '.join(stuck)} cannot be built by {last} even with the yard "
            "empty; look for a skill, mold or place that is never free long enough"
        )
    return (
        f"no plan: each boat fits alone, but not all of them together by {last}; "
        "look for locks that contradict each other or too many boats for the horizon"
    )
