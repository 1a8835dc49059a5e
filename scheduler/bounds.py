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
from scheduler.compiling.compile import compile_problem
from scheduler.decoding.decoder import boat_finish, new_state, tardy_days
from scheduler.decoding.kernel import kernel
from scheduler.decoding.placing import (
    Choices,
    State,
    first_start,
    operation_length,
    span_of,
)
from scheduler.decoding.waits import lower_bounds
from scheduler.overtime import may_open, stands_open

if TYPE_CHECKING:
    from scheduler.compiling.compile import Compilation

PLENTY = np.uint64(0x7F7F7F7F7F7F7F7F)


def earliest_finishes(a: Arrays, *, more_time: bool = False) -> I32:
    """When each boat could be finished alone in an empty yard; services are none.

    Its longest chain of work at the largest crews and of minimum waits, on the
    calendars, with people, stations, molds and places without limit: no plan finishes
    it sooner. Committed operations stand where they are.

    With `more_time` this also holds for every plan on calendars with less open time.
    """
    state, _ = earliest_state(a, more_time=more_time)
    return np.array([boat_finish(a, state, boat) for boat in range(a.boats)], np.int32)


def earliest_state(a: Arrays, *, more_time: bool = False) -> tuple[State, Choices]:
    """Every operation alone in an empty yard, and the choices that place it there.

    Its `start` and `finish` are lower bounds in every plan; with `more_time` also in
    every plan on calendars with less open time. More of it lets every finish be
    sooner, but what must not finish too soon may then have to start later.
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
    place_all_early(a, state, choices, more_time)
    return state, choices


@kernel
def place_all_early(a: Arrays, s: State, c: Choices, more_time: bool) -> None:
    """Place every operation as early as its own boat lets it."""
    for op in range(len(a.boat_of)):
        place_early(a, s, c, op, more_time)


@kernel
def place_early(a: Arrays, s: State, c: Choices, op: int, more_time: bool) -> None:
    """Place one operation; its start is the first with any crew."""
    kind = a.binding[op]
    if kind in (DONE, PINNED) or (kind == STARTED and a.fixed_finish[op] >= 0):
        s.start[op], s.finish[op] = a.fixed_start[op], a.fixed_finish[op]
        if s.finish[op] >= 0:
            return
        start, finish = s.start[op], 0
    else:
        start, finish = lower_bounds(a, s, c, op)
    length = operation_length(a, op, a.crew_max[op])
    if length == 0:
        s.start[op] = s.finish[op] = max(start, finish)
        return
    x = first_start(a, s, op, a.crew_max[op], start, finish, int(FAR))
    if x < 0:
        s.start[op] = s.finish[op] = a.ticks
        return
    s.start[op], s.finish[op] = span_of(a, op, x, length)
    if kind == STARTED:
        s.start[op] = a.fixed_start[op]
    elif finish > 0:
        least = 0 if more_time else finish
        s.start[op] = min(s.start[op], earliest_start(a, s, op, start, least))


@kernel
def earliest_start(a: Arrays, s: State, op: int, start: int, finish: int) -> int:
    """First start with any crew: where the finish is bounded, a small crew's."""
    base = a.track_at[a.track[op]]
    first = int(a.ticks)
    for crew in range(a.crew_min[op], a.crew_max[op] + 1):
        x = first_start(a, s, op, crew, start, finish, int(FAR))
        if x >= 0:
            first = min(first, a.ref_of[a.open_position[base + x]])
    return first


def alone_bound(a: Arrays, *, more_time: bool = False) -> int:
    """Weighted tardy days, or the last finish, that an empty yard cannot avoid.

    With `more_time` as in `earliest_finishes`.
    """
    if a.goal == BY_LAST_FINISH:
        return int(earliest_finishes(a, more_time=more_time).max(initial=0))
    return sum(alone_tardiness(a, more_time=more_time))


def alone_tardiness(a: Arrays, *, more_time: bool = False) -> list[int]:
    """Weighted late days of each boat alone in an empty yard."""
    finishes = earliest_finishes(a, more_time=more_time)
    return [
        int(a.boat_weight[boat]) * tardy_days(a, boat, int(finish))
        for boat, finish in enumerate(finishes)
    ]


def of_every_set(compilation: Compilation, bound: int) -> int:
    """A bound of a compiled problem, as one that no set of overtime windows beats."""
    least = bound_with_overtime(compilation)
    return bound if least is None else least


def bound_with_overtime(compilation: Compilation) -> int | None:
    """What no plan of a problem avoids, whichever windows of overtime it opens.

    None where no window is left to open, so that a bound of the compiled set is one of
    the whole problem. Else each boat is taken alone with all of them open: bounds that
    count shared resources or that the constraint model states hold for one set only.
    """
    problem = compilation.stated
    choice = may_open(problem)
    if not choice:
        return None
    every = stands_open(problem) | {one.id for one in choice}
    arrays = compile_problem(problem, compilation.arrays.goal, every).arrays
    return alone_bound(arrays, more_time=True)
