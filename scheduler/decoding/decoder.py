"""From an order of boats to a whole plan and its value: the compiled decoder.

Boats are placed one after the other, each whole (`scheduler.decoding.boat`). Boats that
hold a mold or place today come first, whatever the order says: nobody else can plan
around an occupation whose end is open.
"""

from __future__ import annotations

import numpy as np

from scheduler.compiling.arrays import BY_LAST_FINISH, DONE, FAR, FREE, I32, I64, Arrays
from scheduler.decoding.facts import set_facts
from scheduler.decoding.kernel import copy_row, copy_table, kernel
from scheduler.decoding.placing import Choices, State
from scheduler.decoding.stretches import close_stretches, place_serviced

VALUES = 3
"""Weighted tardy days; the same in open ticks, a guide; work in process in ticks.

Where plans are measured by the last finish, that takes the first two places.
"""


def new_state(a: Arrays) -> State:
    """Allocate a state for a problem."""
    operations, slots, holds = len(a.boat_of), len(a.slot_resource), len(a.hold_from)
    words, positions = a.kinds_free.shape

    def zeros(*shape: int) -> I32:
        return np.zeros(shape, np.int32)

    return State(
        free=np.zeros((words, positions), np.uint64),
        gone=np.zeros(a.kinds_least.shape, np.uint64),
        least=np.zeros(a.kinds_least.shape, np.uint64),
        used=zeros(len(a.station_capacity), positions),
        taken_from=zeros(slots, a.slot_room),
        taken_to=zeros(slots, a.slot_room),
        taken_by=zeros(slots, a.slot_room),
        taken_count=zeros(slots),
        last_from=zeros(slots),
        last_to=zeros(slots),
        placed=np.zeros(operations, np.int8),
        start=zeros(operations),
        finish=zeros(operations),
        crew=zeros(operations),
        begin=zeros(operations),
        length=zeros(operations),
        least_start=zeros(operations),
        least_finish=zeros(operations),
        unmanned=np.zeros(operations, np.int8),
        unmanned_until=zeros(1),
        found_turn=np.full(operations, -1, np.int64),
        found_from=zeros(operations),
        found_finish_from=zeros(operations),
        turn=np.zeros(1, np.int64),
        hold_need=zeros(holds),
        hold_slot=zeros(holds),
        hold_start=zeros(holds),
        slot_found=zeros(holds),
        need=np.zeros(words, np.uint64),
        waiting=zeros(len(a.boat_due)),
        share=np.zeros((words, a.share_at[-1]), np.uint64),
    )


@kernel
def copy_state(source: State, target: State, since: int) -> None:
    """Copy a state over another; positions before `since` are taken to be equal."""
    copy_table(source.free, target.free, since)
    copy_table(source.gone, target.gone, 0)
    copy_table(source.least, target.least, 0)
    copy_table(source.used, target.used, since)
    for slot in range(len(source.taken_count)):
        count = source.taken_count[slot]
        target.taken_count[slot] = count
        for k in range(count):
            target.taken_from[slot, k] = source.taken_from[slot, k]
            target.taken_to[slot, k] = source.taken_to[slot, k]
            target.taken_by[slot, k] = source.taken_by[slot, k]
    copy_row(source.last_from, target.last_from)
    copy_row(source.last_to, target.last_to)
    copy_row(source.placed, target.placed)
    copy_row(source.start, target.start)
    copy_row(source.finish, target.finish)
    copy_row(source.crew, target.crew)
    copy_row(source.begin, target.begin)
    copy_row(source.length, target.length)
    copy_row(source.hold_slot, target.hold_slot)
    copy_row(source.hold_start, target.hold_start)


@kernel
def copy_given_crews(a: Arrays, facts: State, s: State) -> None:
    """Copy the crews of committed work; all others are chosen anew."""
    for op in range(len(a.binding)):
        if a.binding[op] != FREE and a.binding[op] != DONE:
            for row in range(a.share_at[op], a.share_at[op + 1]):
                for word in range(s.share.shape[0]):
                    s.share[word, row] = facts.share[word, row]


@kernel
def place_all(a: Arrays, s: State, c: Choices, first: int, last: int) -> bool:
    """Place the boats at places first..last-1 of the order; False if one cannot be.

    The boats that hold a mold or place today, which lead the order, may wait for one
    another: those that do not fit are tried again when the others of them are placed.
    Behind each boat come the services of molds by people that are due then.
    """
    if first == 0:
        close_stretches(a, s, c)
    if first < a.leading and not place_leading(a, s, c):
        return False
    for place in range(max(first, a.leading), last):
        if not place_serviced(a, s, c, c.order[place]):
            return False
    return True


@kernel
def place_leading(a: Arrays, s: State, c: Choices) -> bool:
    """Place the boats that hold a mold or place today."""
    waiting = 0
    for place in range(min(a.leading, len(c.order))):
        if not place_serviced(a, s, c, c.order[place]):
            s.waiting[waiting] = c.order[place]
            waiting += 1
    while waiting > 0:
        still = 0
        for k in range(waiting):
            if not place_serviced(a, s, c, s.waiting[k]):
                s.waiting[still] = s.waiting[k]
                still += 1
        if still == waiting:
            return False
        waiting = still
    return True


@kernel
def boat_finish(a: Arrays, s: State, boat: int) -> int:
    """When the last operation of a boat ends."""
    finish = 0
    for op in range(a.boat_at[boat], a.boat_at[boat + 1]):
        finish = max(finish, s.finish[op])
    return int(finish)


@kernel
def tardy_days(a: Arrays, boat: int, finish: int) -> int:
    """Whole working days by which a finish is after the boat's due day."""
    if a.boat_due[boat] >= FAR:
        return 0
    return max(0, int(a.day_index[min(finish, a.ticks)]) - int(a.boat_due[boat]))


@kernel
def evaluate(a: Arrays, s: State, due_position: I32, value: I64) -> None:
    """Write a plan's value vector (see VALUES).

    The second entry counts open ticks of the work axis after the due one; it guides a
    search between plans of equal first level and is reported nowhere.
    """
    value[:] = 0
    last = 0
    for boat in range(a.boats):
        finish = boat_finish(a, s, boat)
        last = max(last, finish)
        value[0] += a.boat_weight[boat] * tardy_days(a, boat, finish)
        if a.boat_due[boat] < FAR:
            late = a.position_at[min(finish, a.ticks)] - due_position[boat]
            value[1] += a.boat_weight[boat] * max(0, late)
        first = finish
        for op in range(a.boat_at[boat], a.boat_at[boat + 1]):
            first = min(first, s.start[op])
        value[2] += a.flow_rate * (finish - first)
    for slot in range(len(s.taken_count)):
        for k in range(s.taken_count[slot]):
            hold = s.taken_by[slot, k]
            if hold >= 0:
                span = s.taken_to[slot, k] - s.taken_from[slot, k]
                value[2] += a.hold_rate[hold] * span
    if a.goal == BY_LAST_FINISH:
        value[0] = last
        value[1] = a.position_at[min(last, a.ticks)]


@kernel
def decode(
    a: Arrays, facts: State, s: State, c: Choices, due_position: I32, value: I64
) -> bool:
    """Turn choices into a plan and its value; False if no plan came of them."""
    copy_state(facts, s, 0)
    copy_given_crews(a, facts, s)
    if not place_all(a, s, c, 0, len(c.order)):
        return False
    evaluate(a, s, due_position, value)
    return True


def day_ends(a: Arrays) -> I64:
    """The tick at which the open time of each working day ends, and that of the axis.

    A last day that ends with the axis has no later tick which could count it.
    """
    return np.append(np.flatnonzero(np.diff(a.day_index) > 0), a.ticks)


def due_positions(a: Arrays) -> I32:
    """Work-axis position at which each boat's due day ends (FAR where there is none).

    A due day before the axis counts as its beginning.
    """
    out = np.full(len(a.boat_due), FAR, np.int32)
    ends = day_ends(a)
    for boat, due in enumerate(a.boat_due):
        if due < FAR:
            out[boat] = a.position_at[ends[due]] if due >= 0 else 0
    return out


def facts_state(a: Arrays) -> tuple[State, bool]:
    """A state with everything committed in it, and whether those facts agree."""
    state = new_state(a)
    return state, bool(set_facts(a, state))


def open_boats(a: Arrays) -> I32:
    """Boats with something left to plan; those holding a mold or place come first.

    Services by people are none of them: they follow upon the pulls of their mold.
    """
    holding = np.zeros(len(a.boat_due), np.bool_)
    holding[a.part_boat[a.hold_part[a.hold_open != 0]]] = True
    boats = np.flatnonzero(a.boat_fixed[: a.boats] == 0)
    return np.concatenate([boats[holding[boats]], boats[~holding[boats]]]).astype(
        np.int32
    )
