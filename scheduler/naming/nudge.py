"""Moving one operation later inside a finished plan, with all others where they are."""

from __future__ import annotations

from scheduler.compiling.arrays import FAR, FREE, Arrays
from scheduler.decoding.decoder import boat_finish
from scheduler.decoding.holding import end_hold, entry_of, hold_limit, note_last
from scheduler.decoding.kernel import kernel
from scheduler.decoding.manning import man, take
from scheduler.decoding.placing import (
    Choices,
    State,
    first_start,
    operation_length,
    span_of,
)
from scheduler.decoding.waits import lower_bounds, wait_latest
from scheduler.searching.latest import begin_by


@kernel
def nudge(a: Arrays, s: State, c: Choices, op: int, not_before: int, crew: int) -> bool:
    """Move a free operation so that it starts at or after a tick, with a crew.

    Returns False, with nothing changed, where its boat would finish later, a later
    operation would have to move, or a mold or place is needed by the next part.
    """
    if a.binding[op] != FREE or s.length[op] == 0:
        return False
    start_by, finish_by = latest_limits(a, s, op)
    take(a, s, op, -1)
    s.placed[op] = 0
    old_begin, old_length, old_crew = s.begin[op], s.length[op], s.crew[op]
    start_from, finish_from = lower_bounds(a, s, c, op)
    start_from = max(start_from, not_before)
    x = first_start(a, s, op, crew, start_from, finish_from, int(FAR))
    moved = False
    if x >= 0:
        length = operation_length(a, op, crew)
        start, finish = span_of(a, op, x, length)
        if start <= start_by and finish <= finish_by:
            s.begin[op], s.length[op], s.crew[op] = x, length, crew
            s.start[op], s.finish[op] = start, finish
            moved = True
    if not moved:
        s.begin[op], s.length[op], s.crew[op] = old_begin, old_length, old_crew
    s.placed[op] = 1
    if moved:
        man(a, s, op)
        move_holds(a, s, op)
    else:
        take(a, s, op, 1)
    return moved


@kernel
def latest_limits(a: Arrays, s: State, op: int) -> tuple[int, int]:
    """By when an operation must start and finish for nothing else to move."""
    finish_by = boat_finish(a, s, a.boat_of[op])
    start_by = int(FAR)
    for k in range(a.successor_at[op], a.successor_at[op + 1]):
        wait = a.successor_list[k]
        after = a.wait_after[wait]
        until = s.finish[after] if a.wait_after_end[wait] else s.start[after]
        by = begin_by(a, wait, until)
        if a.wait_before_end[wait]:
            finish_by = min(finish_by, by)
        else:
            start_by = min(start_by, by)
    for k in range(a.wait_at[op], a.wait_at[op + 1]):
        wait = a.wait_list[k]
        before = a.wait_before[wait]
        since = s.finish[before] if a.wait_before_end[wait] else s.start[before]
        by = wait_latest(a, wait, since)
        if a.wait_after_end[wait]:
            finish_by = min(finish_by, by)
        else:
            start_by = min(start_by, by)
    for k in range(a.end_at[op], a.end_at[op + 1]):
        hold = a.end_list[k]
        if a.hold_active[hold]:
            by = hold_limit(a, s, hold)
            if a.hold_to_end[hold]:
                finish_by = min(finish_by, by)
            else:
                start_by = min(start_by, by)
    return int(start_by), int(finish_by)


@kernel
def move_holds(a: Arrays, s: State, op: int) -> None:
    """Let the holds that an operation bounds follow it."""
    for k in range(a.begin_at[op], a.begin_at[op + 1]):
        hold = a.begin_list[k]
        if a.hold_active[hold]:
            slot = s.hold_slot[hold]
            s.taken_from[slot, entry_of(s, slot, hold)] = s.start[op]
            note_last(s, slot)
            s.hold_start[hold] = s.start[op]
    for k in range(a.end_at[op], a.end_at[op + 1]):
        hold = a.end_list[k]
        if a.hold_active[hold]:
            end_hold(s, hold, s.finish[op] if a.hold_to_end[hold] else s.start[op])
