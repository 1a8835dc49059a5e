"""Event-driven decoder: time moves on, and the most urgent work that fits is begun.

Boats are not placed whole (`scheduler.decoding.boat`) but operation by operation, each
at the first tick at which it fits, the soonest first (parallel schedule generation).
Of what fits as soon, the highest priority goes first: apparent tardiness cost, which
weighs a boat's weight and hours against its slack at that tick; or the least slack.
What a bond window binds to work that stands follows it at once; where it comes too
late all the same, its boat is placed again from the work that began the window.

Only so many boats are begun and not yet placed to their end: parts wait in molds for
places that other boats fill, and without a limit all can come to wait for one another.
Where that happens, no plan comes of it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scheduler.compiling.arrays import ENDING, FAR, I32, I64, PULL, STARTED, Arrays
from scheduler.decoding.boat import is_loose, man_the_rest, try_operation, unplace
from scheduler.decoding.bundle import Bundle
from scheduler.decoding.decoder import copy_given_crews, copy_state, evaluate
from scheduler.decoding.kernel import kernel
from scheduler.decoding.placing import Choices, State
from scheduler.decoding.stretches import close_stretch, close_stretches
from scheduler.decoding.waits import FAILED, PLACED

F64 = NDArray[np.float64]

MOST_RETURNS = 40
"""How often a boat may be placed again, for each of its operations."""

BLOCKED = FAR - 1
"""Asked of work that no mold or place takes until another one is free."""


@dataclass(frozen=True, eq=False)
class Priorities(Bundle):
    """By what work is chosen, and the room to choose it in."""

    due: I64  # per boat: tick at which its due day ends; FAR: none
    value: F64  # per boat: logarithm of weight over crew-ticks
    tail: I32  # per operation: ticks from its latest start to its boat's finish, alone
    scale: int  # of the apparent tardiness cost, ticks; 0: the least slack first
    patience: int  # ticks by which work that is more urgent may begin later
    most: int  # boats begun and not yet placed to their end
    ready: I32  # scratch: operations whose predecessors stand
    asked: I32  # scratch, per operation: no start before, by the last look
    left: I32  # scratch, per boat: operations to place
    count: I64  # scratch: how many are ready, boats begun, returns left


READY, IN_WORK, RETURNS = 0, 1, 2
SCRATCH = 3
"""Places in `Priorities.count`, and how many there are."""


@kernel
def decode_in_time(
    a: Arrays,
    facts: State,
    s: State,
    c: Choices,
    p: Priorities,
    due_position: I32,
    value: I64,
) -> bool:
    """Make a plan and its value; False if no plan came of it.

    Of the choices, crew sizes and delays count; the order does not.
    """
    copy_state(facts, s, 0)
    copy_given_crews(a, facts, s)
    close_stretches(a, s, c)
    begin_choosing(a, s, c, p)
    s.unmanned_until[0] = 0
    while p.count[READY] > 0:
        op = next_operation(a, s, p)
        if op < 0 or not place_next(a, s, c, p, op):
            return False
    for k in range(len(c.order)):
        if p.left[c.order[k]] > 0:
            return False
    evaluate(a, s, due_position, value)
    return True


@kernel
def begin_choosing(a: Arrays, s: State, c: Choices, p: Priorities) -> None:
    """Count what is left of each boat, and find what may begin."""
    p.count[READY] = p.count[IN_WORK] = 0
    p.count[RETURNS] = MOST_RETURNS * len(a.boat_of)
    for k in range(len(c.order)):
        boat = c.order[k]
        first, last = a.boat_at[boat], a.boat_at[boat + 1]
        p.left[boat] = 0
        for op in range(first, last):
            s.least_start[op] = s.least_finish[op] = 0
            p.asked[op] = -1 if a.binding[op] == STARTED else 0
            for n in range(a.begin_at[op], a.begin_at[op + 1]):
                s.hold_need[a.begin_list[n]] = a.hold_least[a.begin_list[n]]
            if not s.placed[op]:
                p.left[boat] += 1
        if 0 < p.left[boat] < last - first:
            p.count[IN_WORK] += 1
        find_ready(a, s, p, boat)


@kernel
def find_ready(a: Arrays, s: State, p: Priorities, boat: int) -> None:
    """List all work of a boat whose predecessors stand."""
    for op in range(a.boat_at[boat], a.boat_at[boat + 1]):
        if not s.placed[op] and may_be_next(a, s, op):
            add_ready(a, s, p, op)


@kernel
def add_ready(a: Arrays, s: State, p: Priorities, op: int) -> None:
    """List an operation; one under a window comes before all others."""
    if under_window(a, op):
        p.asked[op] = -1
    p.ready[p.count[READY]] = op
    p.count[READY] += 1


@kernel
def may_be_next(a: Arrays, s: State, op: int) -> bool:
    """Whether everything that an operation waits for stands."""
    for k in range(a.wait_at[op], a.wait_at[op + 1]):
        if not s.placed[a.wait_before[a.wait_list[k]]]:
            return False
    for k in range(a.end_at[op], a.end_at[op + 1]):
        begin = a.hold_from[a.end_list[k]]
        if begin != op and not s.placed[begin]:
            return False
    return True


@kernel
def under_window(a: Arrays, op: int) -> bool:
    """Whether a wait into an operation has a maximum."""
    for k in range(a.wait_at[op], a.wait_at[op + 1]):
        if a.wait_max[a.wait_list[k]] >= 0:
            return True
    return False


@kernel
def next_operation(a: Arrays, s: State, p: Priorities) -> int:
    """The place in the list of what comes next; -1 if all wait for one another."""
    soonest = BLOCKED
    for k in range(p.count[READY]):
        op = p.ready[k]
        if p.asked[op] < 0:
            return k
        if p.asked[op] < soonest and is_admitted(a, p, op):
            soonest = p.asked[op]
    if soonest == BLOCKED:
        return -1
    best, most = -1, 0.0
    for k in range(p.count[READY]):
        op = p.ready[k]
        if p.asked[op] > soonest + p.patience or p.asked[op] == BLOCKED:
            continue
        if not is_admitted(a, p, op):
            continue
        urgency = urgency_of(a, p, op, int(soonest))
        if best < 0 or urgency > most:
            best, most = k, urgency
    return best


@kernel
def is_admitted(a: Arrays, p: Priorities, op: int) -> bool:
    """Whether a boat is in work, or may be."""
    boat = a.boat_of[op]
    begun = p.left[boat] < a.boat_at[boat + 1] - a.boat_at[boat]
    return bool(begun or p.count[IN_WORK] < p.most)


@kernel
def urgency_of(a: Arrays, p: Priorities, op: int, tick: int) -> float:
    """How urgent an operation is at a tick: apparent tardiness cost, or less slack."""
    boat = a.boat_of[op]
    slack = float(p.due[boat] - tick - p.tail[op])
    if p.scale == 0:
        return -slack
    return float(p.value[boat] - max(0.0, slack) / p.scale)


@kernel
def place_next(a: Arrays, s: State, c: Choices, p: Priorities, place: int) -> bool:
    """Place an operation of the list, or learn that it fits later; False: no way."""
    op = p.ready[place]
    asked, boat = p.asked[op], a.boat_of[op]
    verdict = try_operation(a, s, c, op)
    if verdict == FAILED:
        p.asked[op] = BLOCKED
        return bool(a.binding[op] != STARTED)
    if verdict != PLACED:
        return place_again(a, s, p, a.boat_of[verdict], verdict)
    if s.start[op] > asked + p.patience and asked >= 0:
        p.asked[op] = s.start[op]
        unplace(a, s, op)
        s.unmanned_until[0] = 0
        return True
    man_the_rest(a, s, op, op + 1)
    if p.left[boat] == a.boat_at[boat + 1] - a.boat_at[boat]:
        p.count[IN_WORK] += 1
    p.left[boat] -= 1
    if p.left[boat] == 0:
        p.count[IN_WORK] -= 1
    p.count[READY] -= 1
    p.ready[place] = p.ready[p.count[READY]]
    for k in range(a.successor_at[op], a.successor_at[op + 1]):
        note_follower(a, s, p, a.wait_after[a.successor_list[k]])
    if a.traits[op] & ENDING:
        free_holds(a, s, c, p, op)
    return True


@kernel
def note_follower(a: Arrays, s: State, p: Priorities, op: int) -> None:
    """List what an operation was the last to keep waiting, once."""
    if s.placed[op] or not is_loose(a, op) or not may_be_next(a, s, op):
        return
    for k in range(p.count[READY]):
        if p.ready[k] == op:
            return
    p.asked[op] = 0
    add_ready(a, s, p, op)


@kernel
def free_holds(a: Arrays, s: State, c: Choices, p: Priorities, op: int) -> None:
    """Let others look for the mold or place, and the mold have its service."""
    look_again(p)
    if len(a.service_list) == 0:
        return
    for k in range(a.end_at[op], a.end_at[op + 1]):
        hold = a.end_list[k]
        if a.hold_pull[hold] == PULL and s.hold_slot[hold] >= 0:
            close_stretch(a, s, c, s.hold_slot[hold])


@kernel
def look_again(p: Priorities) -> None:
    """Let all work that found no mold or place look for one again."""
    for k in range(p.count[READY]):
        if p.asked[p.ready[k]] == BLOCKED:
            p.asked[p.ready[k]] = 0


@kernel
def place_again(a: Arrays, s: State, p: Priorities, boat: int, first: int) -> bool:
    """Take a boat out from an operation on, as that one must stand later."""
    p.count[RETURNS] -= 1
    if p.count[RETURNS] == 0 or not is_loose(a, first):
        return False
    whole = a.boat_at[boat + 1] - a.boat_at[boat]
    for op in range(a.boat_at[boat + 1] - 1, first - 1, -1):
        if s.placed[op] and is_loose(a, op):
            unplace(a, s, op)
            if p.left[boat] == 0:
                p.count[IN_WORK] += 1
            p.left[boat] += 1
            p.asked[op] = 0
    if p.left[boat] == whole:
        p.count[IN_WORK] -= 1
    kept = 0
    for k in range(p.count[READY]):
        if a.boat_of[p.ready[k]] != boat:
            p.ready[kept] = p.ready[k]
            kept += 1
    p.count[READY] = kept
    look_again(p)
    for op in range(a.boat_at[boat], a.boat_at[boat + 1]):
        if p.asked[op] == BLOCKED:
            p.asked[op] = 0
    find_ready(a, s, p, boat)
    return True
