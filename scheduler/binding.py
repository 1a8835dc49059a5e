"""What holds a boat back: where its operations wait, and for what.

Works on the flat arrays, for whoever has a compiled solution at hand; the board reads
causes from the plan file.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from scheduler.compiling.arrays import FREE
from scheduler.decoding.placing import operation_length
from scheduler.decoding.waits import wait_earliest

if TYPE_CHECKING:
    from scheduler.compiling.compile import Compilation
    from scheduler.solution import Solution


@dataclass(frozen=True)
class HoldUp:
    """The resource that a boat waits for longest, and for how many days in all."""

    resource: str
    days: float
    operation: str
    by_resource: dict[str, float]


def hold_up_of(compilation: Compilation, solution: Solution, boat: int) -> HoldUp:
    """Sum up what a boat waits for along the chain of work that ends it.

    The chain is followed back from the last operation: an operation begins when the
    one before it and the wait between them allow, or later, because a mold or place
    is taken or people or a station are busy. Waiting of less than a day is left out:
    it is the night.
    """
    a, axis = compilation.arrays, compilation.problem.axis
    first, last = int(a.boat_at[boat]), int(a.boat_at[boat + 1])
    waited: dict[str, float] = defaultdict(float)
    longest = (0.0, "")
    op = first + int(solution.finish[first:last].argmax())
    while op >= 0 and a.binding[op] == FREE:
        ready, before = _ready(compilation, solution, op)
        days = float(solution.start[op] - ready) / axis.ticks_per_day
        if days >= 1.0:
            resource = _resource(compilation, solution, op, ready)
            waited[resource] += days
            longest = max(longest, (days, compilation.operations[op]))
        op = before
    if not waited:
        return HoldUp("its own work", 0.0, "", {})
    most = max(waited, key=lambda name: waited[name])
    return HoldUp(most, waited[most], longest[1], dict(waited))


def _ready(compilation: Compilation, solution: Solution, op: int) -> tuple[int, int]:
    """When an operation could start if only its own boat mattered, and after which.

    The second figure is -1 where its release or an arrival decides.
    """
    a = compilation.arrays
    ready, decisive = max(int(a.earliest[op]), a.now), -1
    for k in range(a.wait_at[op], a.wait_at[op + 1]):
        wait = a.wait_list[k]
        before = a.wait_before[wait]
        ends = a.wait_before_end[wait]
        since = solution.finish[before] if ends else solution.start[before]
        until = wait_earliest(a, wait, int(since))
        if a.wait_after_end[wait]:
            until -= operation_length(a, op, int(solution.crew[op]))
        if until > ready:
            ready, decisive = until, int(before)
    track = a.track[op]
    index = a.open_index[track, a.position_at[min(ready, a.ticks)]]
    entry = a.track_at[track] + index
    if entry < a.track_at[track + 1]:
        ready = max(ready, int(a.ref_of[a.open_position[entry]]))
    return ready, decisive


def _resource(compilation: Compilation, solution: Solution, op: int, ready: int) -> str:
    """Mold, place, or people of a skill: what an operation waited for."""
    a, problem = compilation.arrays, compilation.problem
    for k in range(a.begin_at[op], a.begin_at[op + 1]):
        hold = a.begin_list[k]
        slots = a.candidate_slot[a.candidate_at[hold] : a.candidate_at[hold + 1]]
        if solution.hold_slot[hold] < 0:
            continue
        length = int(solution.hold_finish[hold] - solution.hold_start[hold])
        if _was_free(solution, int(hold), slots.tolist(), (ready, ready + length)):
            continue
        if a.hold_is_limit[hold]:
            return str(compilation.resources[a.slot_resource[slots[0]]])
        order, part = compilation.hold_parts[hold]
        if a.hold_is_place[hold]:
            kinds = {one.id: one.kind for one in problem.places}
            place = compilation.resources[a.slot_resource[slots[0]]]
            return f"a free {kinds[place]}"
        model = next(one.model for one in problem.orders if one.order == order)
        return f"a {part} mold for {model}"
    operation = problem.operations[op]
    if operation.demands:
        return f"{operation.station} or people who can {operation.skill}"
    return f"people who can {operation.skill}" if operation.skill else "its station"


def _was_free(
    solution: Solution, hold: int, slots: list[int], span: tuple[int, int]
) -> bool:
    """Whether one of the slots was empty for the whole of a span."""
    taken = {
        int(slot)
        for other, slot in enumerate(solution.hold_slot)
        if other != hold
        and slot in slots
        and solution.hold_start[other] < span[1]
        and span[0] < solution.hold_finish[other]
    }
    return len(taken) < len(slots)
