"""Placing one boat whole, operation by operation, in the order of its routing.

Each operation goes to the first tick that people, stations, molds, places and waits
allow. Where a maximum wait or a mold's next occupation cannot be kept, the operation
that began it is moved later and the boat is placed again from there; such bounds only
grow, so this ends. A part stays in its mold until its place is free (blocking).
"""

from __future__ import annotations

import numpy as np

from scheduler.compiling.arrays import (
    AGAIN,
    BEGINNING,
    CLASHING,
    ENDING,
    FAR,
    FREE,
    INSTANT,
    MISSABLE,
    SIZED,
    SPECIAL,
    STARTED,
    Arrays,
)
from scheduler.decoding.holding import (
    begin_hold,
    best_slot,
    end_hold,
    hold_limit,
    next_gap,
    remove,
    reopen_hold,
)
from scheduler.decoding.kernel import inlined, kernel
from scheduler.decoding.manning import man, take
from scheduler.decoding.openings import opening_miss
from scheduler.decoding.placing import (
    Choices,
    State,
    first_start,
    operation_length,
    span_of,
)
from scheduler.decoding.waits import FAILED, PLACED, check_maximums, lower_bounds

MOST_RETRIES = 4000


@inlined
def find_place(
    a: Arrays, s: State, c: Choices, op: int, bounds: tuple[int, int]
) -> int:
    """Choose crew and first open index of an operation; -1 if there is none.

    Writes crew and length into the state.
    """
    crew = a.fixed_crew[op] if a.traits[op] & SIZED else np.int32(c.crew[op])
    low = crew if crew > 0 else a.crew_min[op]
    high = crew if crew > 0 else a.crew_max[op]
    chosen, soonest = -1, int(FAR)
    for size in range(high, low - 1, -1):
        x = first_start(a, s, op, size, bounds[0], bounds[1], soonest)
        if x < 0:
            continue
        length = operation_length(a, op, size)
        finish = span_of(a, op, x, length)[1]
        if finish < soonest:
            chosen, soonest = x, finish
            s.crew[op], s.length[op] = size, length
    return chosen


@inlined
def is_found(a: Arrays, s: State, op: int, bounds: tuple[int, int]) -> bool:
    """Whether an operation stands where it would be found again with these bounds.

    Where windows move work again and again, most of a boat need not move with it.
    """
    if not a.traits[op] & AGAIN or s.found_turn[op] != s.turn[0]:
        return False
    if bounds[0] < s.found_from[op] or bounds[1] < s.found_finish_from[op]:
        return False
    start, finish = span_of(a, op, s.begin[op], s.length[op])
    return bool(bounds[0] <= start and bounds[1] <= finish)


@inlined
def find_again(
    a: Arrays, s: State, c: Choices, op: int, bounds: tuple[int, int]
) -> bool:
    """Write the place, crew and length of an operation; False if there is none."""
    if is_found(a, s, op, bounds):
        return True
    x = find_place(a, s, c, op, bounds)
    if x < 0:
        s.found_turn[op] = -1
        return False
    s.begin[op] = x
    if a.traits[op] & (AGAIN | CLASHING | SPECIAL) == AGAIN:
        s.found_turn[op] = s.turn[0]
        s.found_from[op], s.found_finish_from[op] = bounds
    return True


@kernel
def try_operation(a: Arrays, s: State, c: Choices, op: int) -> int:
    """Place one operation.

    Returns
    -------
    int
        PLACED; FAILED if there is no way; else the operation from which the boat must
        be placed again, its bounds having been raised.
    """
    from_tick, finish_from = lower_bounds(a, s, c, op)
    if from_tick < s.unmanned_until[0]:
        man_the_rest(a, s, a.boat_at[a.boat_of[op]], op)
    traits, begun = a.traits[op], a.binding[op] == STARTED
    begins = traits & BEGINNING and not begun
    while True:
        if from_tick >= a.ticks:
            return FAILED
        if traits & INSTANT:
            s.length[op], s.crew[op] = 0, 0
            start = finish = max(from_tick, finish_from)
            later = opening_miss(a, s, op, start)
            if later >= 0:
                from_tick = later
                continue
        else:
            if not find_again(a, s, c, op, (from_tick, finish_from)):
                return FAILED
            start, finish = span_of(a, op, s.begin[op], s.length[op])
        later = PLACED
        if begins:
            later = missing_slot(a, s, op, start, finish)
        if later == PLACED:
            break
        if later == FAILED:
            return FAILED
        from_tick = later
    s.start[op] = a.fixed_start[op] if begun else start
    s.finish[op] = finish
    verdict = check_maximums(a, s, op) if traits & MISSABLE else PLACED
    if verdict == PLACED and traits & ENDING:
        verdict = check_holds(a, s, op)
    if verdict != PLACED:
        return verdict
    if begins and not begin_holds(a, s, op, start):
        return FAILED
    s.placed[op] = 1
    s.unmanned[op] = 1
    s.unmanned_until[0] = max(s.unmanned_until[0], finish)
    if traits & ENDING:
        for k in range(a.end_at[op], a.end_at[op + 1]):
            hold = a.end_list[k]
            if a.hold_active[hold]:
                end_hold(s, hold, finish if a.hold_to_end[hold] else start)
    return PLACED


@kernel
def man_the_rest(a: Arrays, s: State, first: int, last: int) -> None:
    """Give people to the operations first..last-1 that have not taken theirs.

    Until one that may run beside them is to be placed they can wait: where windows
    move work again and again, nothing need be taken and given back.
    """
    for op in range(first, last):
        if s.unmanned[op]:
            man(a, s, op)
            s.unmanned[op] = 0
            s.turn[0] += 1
    s.unmanned_until[0] = 0


@inlined
def begin_holds(a: Arrays, s: State, op: int, start: int) -> bool:
    """Begin every hold that begins here; none if two of them want the last slot."""
    for k in range(a.begin_at[op], a.begin_at[op + 1]):
        hold = a.begin_list[k]
        if not a.hold_active[hold]:
            continue
        slot = s.slot_found[hold]
        if k > a.begin_at[op]:  # the hold before may have taken the slot that was found
            slot = best_slot(a, s, hold, start)
        if slot < 0:
            for other in range(a.begin_at[op], k):
                if a.hold_active[a.begin_list[other]]:
                    remove(s, s.hold_slot[a.begin_list[other]], a.begin_list[other])
            return False
        begin_hold(s, hold, slot, start)
        end = a.hold_to[hold]
        if end != op and s.placed[end]:
            end_hold(s, hold, s.finish[end] if a.hold_to_end[hold] else s.start[end])
    return True


@inlined
def missing_slot(a: Arrays, s: State, op: int, start: int, finish: int) -> int:
    """Return PLACED if every hold that begins here finds a slot, else a later tick."""
    for k in range(a.begin_at[op], a.begin_at[op + 1]):
        hold = a.begin_list[k]
        if not a.hold_active[hold]:
            continue
        end = a.hold_to[hold]
        if end == op:
            s.hold_need[hold] = max(s.hold_need[hold], finish - start)
        elif s.placed[end]:
            until = s.finish[end] if a.hold_to_end[hold] else s.start[end]
            s.hold_need[hold] = max(1, until - start)
        s.slot_found[hold] = best_slot(a, s, hold, start)
        if s.slot_found[hold] < 0:
            later = next_gap(a, s, hold, start)
            return FAILED if later < 0 else later
    return PLACED


@inlined
def check_holds(a: Arrays, s: State, op: int) -> int:
    """Check that the holds which end here end before the next occupation begins."""
    for k in range(a.end_at[op], a.end_at[op + 1]):
        hold = a.end_list[k]
        begin = a.hold_from[hold]
        if not a.hold_active[hold] or (begin == op and a.binding[op] != STARTED):
            continue
        until = s.finish[op] if a.hold_to_end[hold] else s.start[op]
        if until > hold_limit(a, s, hold):
            if a.binding[begin] != FREE:
                return FAILED
            s.hold_need[hold] = until - s.hold_start[hold]
            return int(begin)
    return PLACED


@kernel
def unplace(a: Arrays, s: State, op: int) -> None:
    """Undo `try_operation`."""
    s.placed[op] = 0
    if s.unmanned[op]:
        s.unmanned[op] = 0
    else:
        take(a, s, op, -1)
        s.turn[0] += 1
    traits = a.traits[op]
    if not traits & (BEGINNING | ENDING):
        return
    for k in range(a.end_at[op], a.end_at[op + 1]):
        hold = a.end_list[k]
        begun = a.hold_from[hold] != op or a.binding[op] == STARTED
        if a.hold_active[hold] and begun:
            reopen_hold(s, hold)
    if a.binding[op] == STARTED:
        return
    for k in range(a.begin_at[op], a.begin_at[op + 1]):
        hold = a.begin_list[k]
        if a.hold_active[hold]:
            remove(s, s.hold_slot[hold], hold)
            s.hold_slot[hold] = -1


@kernel
def place_boat(a: Arrays, s: State, c: Choices, boat: int) -> bool:
    """Place a whole boat, or nothing of it."""
    first, last = a.boat_at[boat], a.boat_at[boat + 1]
    s.unmanned_until[0] = 0
    s.turn[0] += 1
    for op in range(first, last):
        if a.traits[op] & AGAIN:
            s.least_start[op] = s.least_finish[op] = 0
        if not a.traits[op] & BEGINNING:
            continue
        for k in range(a.begin_at[op], a.begin_at[op + 1]):
            s.hold_need[a.begin_list[k]] = a.hold_least[a.begin_list[k]]
    op = first
    for _ in range(MOST_RETRIES):
        while op < last and s.placed[op]:
            op += 1
        if op == last:
            man_the_rest(a, s, first, last)
            return True
        verdict = try_operation(a, s, c, op)
        if verdict == PLACED:
            op += 1
            continue
        back = first if verdict == FAILED else verdict
        for other in range(op - 1, back - 1, -1):
            if s.placed[other] and is_loose(a, other):
                unplace(a, s, other)
        if verdict == FAILED:
            return False
        wait_for_people(s, first, back)
        op = back
    for other in range(last - 1, first - 1, -1):
        if s.placed[other] and is_loose(a, other):
            unplace(a, s, other)
    return False


@inlined
def wait_for_people(s: State, first: int, last: int) -> None:
    """Count anew until when those of first..last-1 work that have no people yet."""
    until = 0
    for op in range(first, last):
        if s.unmanned[op]:
            until = max(until, s.finish[op])
    s.unmanned_until[0] = until


@inlined
def is_loose(a: Arrays, op: int) -> bool:
    """Whether placing an operation is the decoder's business."""
    kind = a.binding[op]
    return bool(kind == FREE or (kind == STARTED and a.fixed_finish[op] < 0))
