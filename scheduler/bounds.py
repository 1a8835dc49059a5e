"""Lower bounds on the first level."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from scheduler.compiling.arrays import (
    BY_LAST_FINISH,
    DONE,
    FAR,
    I32,
    PINNED,
    STARTED,
    Arrays,
)
from scheduler.decoding.decoder import boat_finish, new_state, tardy_days
from scheduler.decoding.placing import Choices, first_start, operation_length, span_of
from scheduler.decoding.waits import lower_bounds

if TYPE_CHECKING:
    from scheduler.decoding.placing import State

PLENTY = np.uint64(0x7F7F7F7F7F7F7F7F)


def earliest_finishes(a: Arrays) -> I32:
    """When each boat could be finished alone in an empty yard.

    Its longest chain of work at the largest crews and of minimum waits, on the
    calendars, with people, stations, molds and places without limit: no plan finishes
    it sooner. Committed operations stand where they are.
    """
    state, _ = earliest_state(a)
    return np.array(
        [boat_finish(a, state, boat) for boat in range(len(a.boat_due))], np.int32
    )


def earliest_state(a: Arrays) -> tuple[State, Choices]:
    """Every operation alone in an empty yard, and the choices that place it there.

    Its `start` and `finish` are lower bounds in every plan.
    """
    state = new_state(a)
    state.free[:] = PLENTY
    state.least[:] = PLENTY
    state.used[:] = -(2**20)
    choices = Choices(
        np.zeros(0, np.int32),
        a.crew_max.astype(np.int8),
        np.zeros(len(a.boat_of), np.int32),
    )
    for op in range(len(a.boat_of)):
        _place_early(a, state, choices, op)
    return state, choices


def _place_early(a: Arrays, s: State, c: Choices, op: int) -> None:
    kind = a.binding[op]
    if kind in (DONE, PINNED) or (kind == STARTED and a.fixed_finish[op] >= 0):
        s.start[op], s.finish[op] = a.fixed_start[op], a.fixed_finish[op]
        if s.finish[op] >= 0:
            return
        start, finish = int(s.start[op]), 0
    else:
        start, finish = lower_bounds(a, s, c, op)
    length = operation_length(a, op, int(a.crew_max[op]))
    if length == 0:
        s.start[op] = s.finish[op] = max(start, finish)
        return
    x = first_start(a, s, op, int(a.crew_max[op]), start, finish, int(FAR))
    if x < 0:
        s.start[op] = s.finish[op] = a.ticks
        return
    s.start[op], s.finish[op] = span_of(a, op, x, length)
    if kind == STARTED:
        s.start[op] = a.fixed_start[op]
    elif finish > 0:
        s.start[op] = min(s.start[op], _earliest_start(a, s, op, start, finish))


def _earliest_start(a: Arrays, s: State, op: int, start: int, finish: int) -> int:
    """First start with any crew: where the finish is bounded, a small crew's."""
    crews = range(int(a.crew_min[op]), int(a.crew_max[op]) + 1)
    found = [first_start(a, s, op, crew, start, finish, int(FAR)) for crew in crews]
    base = a.track_at[a.track[op]]
    return min(
        (int(a.ref_of[a.open_position[base + x]]) for x in found if x >= 0),
        default=int(a.ticks),
    )


def alone_bound(a: Arrays) -> int:
    """Weighted tardy days, or the last finish, that an empty yard cannot avoid."""
    finishes = earliest_finishes(a)
    if a.goal == BY_LAST_FINISH:
        return int(finishes.max(initial=0))
    return sum(
        int(a.boat_weight[boat]) * tardy_days(a, boat, int(finish))
        for boat, finish in enumerate(finishes)
    )
