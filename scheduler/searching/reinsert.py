"""Reinsertion: boats are taken out of a whole plan and put in again (compiled).

All other boats stay where they are, so a move changes little and costs no more than
placing the boats concerned. A move that made the plan worse is undone exactly, down to
which kinds of people work on what. Where chains over orders of boats
(`scheduler.searching.chain`) find a good region, this finds the good plan in it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from scheduler.compiling.arrays import FREE, I32, U64, Arrays, TableI64
from scheduler.decoding.boat import is_loose, place_boat, unplace
from scheduler.decoding.bundle import Bundle
from scheduler.decoding.decoder import VALUES, copy_state, decode, evaluate, new_state
from scheduler.decoding.holding import end_hold, insert
from scheduler.decoding.kernel import copy_row, copy_table, kernel
from scheduler.decoding.manning import take
from scheduler.decoding.placing import Choices, State, copied
from scheduler.decoding.waits import lower_bounds
from scheduler.searching.chain import (
    accept,
    copy_choices,
    is_late,
    less,
    random_below,
    random_seed,
)
from scheduler.searching.latest import latest_starts

MOST_OUT = 5
GIVE_WAY = 50  # per cent of the moves


@dataclass(frozen=True, eq=False)
class Plant(Bundle):
    """A whole plan that is being improved, and what undoes a move."""

    state: State
    choices: Choices
    before: State  # of the boats that are out, as they were
    choices_before: Choices
    best: State
    best_choices: Choices
    value: TableI64  # [3, VALUES]: current, trial, best
    out: I32  # boats taken out, in the order in which they go in again
    latest: I32  # scratch: latest starts
    seed: U64  # [1] state of the random numbers


def new_plant(
    a: Arrays, facts: State, start: Choices, due_position: I32, seed: int
) -> Plant | None:
    """A plan decoded from choices, ready to be improved; None if there is none."""
    plant = empty_plant(a, start, seed)
    if not decode(a, facts, plant.state, start, due_position, plant.value[0]):
        return None
    plant.value[2] = plant.value[0]
    copy_plan(plant.state, plant.best)
    return plant


def whole_plant(
    a: Arrays, plan: State, choices: Choices, values: tuple[int, ...], seed: int
) -> Plant:
    """A plan as it is, ready to be improved; the choices are its crews and delays."""
    plant = empty_plant(a, choices, seed)
    copy_plan(plan, plant.state)
    copy_plan(plan, plant.best)
    plant.value[0] = plant.value[2] = values
    return plant


def empty_plant(a: Arrays, start: Choices, seed: int) -> Plant:
    """Room for a plan that is to be improved."""
    return Plant(
        state=new_state(a),
        choices=copied(start),
        before=new_state(a),
        choices_before=copied(start),
        best=new_state(a),
        best_choices=copied(start),
        value=np.zeros((3, VALUES), np.int64),
        out=np.zeros(MOST_OUT, np.int32),
        latest=np.zeros(len(a.boat_of), np.int32),
        seed=random_seed(seed),
    )


@kernel
def copy_plan(source: State, target: State) -> None:
    """Copy a whole plan with its crews."""
    copy_state(source, target, 0)
    copy_table(source.share, target.share, 0)


@kernel
def take_out(a: Arrays, s: State, boat: int) -> None:
    """Take everything of a boat out of a plan that is not given."""
    for op in range(a.boat_at[boat + 1] - 1, a.boat_at[boat] - 1, -1):
        if s.placed[op] and is_loose(a, op):
            unplace(a, s, op)


@kernel
def remember(a: Arrays, p: Plant, boat: int) -> None:
    """Write down where a boat's work is."""
    s, before = p.state, p.before
    for op in range(a.boat_at[boat], a.boat_at[boat + 1]):
        before.start[op], before.finish[op] = s.start[op], s.finish[op]
        before.crew[op] = s.crew[op]
        before.begin[op], before.length[op] = s.begin[op], s.length[op]
        p.choices_before.crew[op] = p.choices.crew[op]
        p.choices_before.delay[op] = p.choices.delay[op]
        for row in range(a.share_at[op], a.share_at[op + 1]):
            for word in range(s.share.shape[0]):
                before.share[word, row] = s.share[word, row]
        for k in range(a.begin_at[op], a.begin_at[op + 1]):
            hold = a.begin_list[k]
            before.hold_slot[hold] = s.hold_slot[hold]


@kernel
def put_back(a: Arrays, p: Plant, boat: int) -> None:
    """Put a boat's work where `remember` found it."""
    s, before = p.state, p.before
    for op in range(a.boat_at[boat], a.boat_at[boat + 1]):
        p.choices.crew[op] = p.choices_before.crew[op]
        p.choices.delay[op] = p.choices_before.delay[op]
        if not is_loose(a, op):
            continue
        s.start[op], s.finish[op] = before.start[op], before.finish[op]
        s.crew[op] = before.crew[op]
        s.begin[op], s.length[op] = before.begin[op], before.length[op]
        for row in range(a.share_at[op], a.share_at[op + 1]):
            for word in range(s.share.shape[0]):
                s.share[word, row] = before.share[word, row]
        s.placed[op] = 1
        take(a, s, op, 1)
    for op in range(a.boat_at[boat], a.boat_at[boat + 1]):
        for k in range(a.end_at[op], a.end_at[op + 1]):
            hold = a.end_list[k]
            if a.hold_active[hold]:
                put_back_hold(a, p, hold)


@kernel
def put_back_hold(a: Arrays, p: Plant, hold: int) -> None:
    """Let a hold last as long as the operations at its ends say."""
    s = p.state
    begin, end = a.hold_from[hold], a.hold_to[hold]
    until = s.finish[end] if a.hold_to_end[hold] else s.start[end]
    if a.binding[begin] == FREE:
        slot = p.before.hold_slot[hold]
        insert(s, slot, hold, s.start[begin], until)
        s.hold_slot[hold], s.hold_start[hold] = slot, s.start[begin]
    elif is_loose(a, end):
        end_hold(s, hold, until)


@kernel
def draw_boats(a: Arrays, p: Plant) -> int:
    """Choose boats to be taken out, the first of them to go in first."""
    order, seed = p.choices.order, p.seed
    count = len(order)
    wanted = 1 + random_below(seed, min(count, MOST_OUT))
    place = random_below(seed, count)
    if random_below(seed, 3) > 0:
        for _ in range(count):
            if is_late(a, p.state, order[place]):
                break
            place = (place + 1) % count
    p.out[0] = order[place]
    found = 1
    for _ in range(8 * wanted):
        if found == wanted:
            break
        boat = order[random_below(seed, count)]
        fresh = are_related(a, p.state, p.out[0], boat)
        for k in range(found):
            fresh = fresh and p.out[k] != boat
        if fresh:
            p.out[found] = boat
            found += 1
    if random_below(seed, 4) == 0:
        for k in range(found):
            other = k + random_below(seed, found - k)
            p.out[k], p.out[other] = p.out[other], p.out[k]
    return found


@kernel
def are_related(a: Arrays, s: State, one: int, other: int) -> bool:
    """Whether two boats are of one model or in work at the same time."""
    if a.boat_model[one] == a.boat_model[other]:
        return True
    first, last = a.boat_at[one], a.boat_at[one + 1] - 1
    begin, end = a.boat_at[other], a.boat_at[other + 1] - 1
    return bool(s.start[first] < s.finish[end] and s.start[begin] < s.finish[last])


@kernel
def vary(a: Arrays, p: Plant, boat: int, quiet: int) -> None:
    """Change the crews and delays with which a boat goes in again."""
    first, last = a.boat_at[boat], a.boat_at[boat + 1]
    c, seed = p.choices, p.seed
    if random_below(seed, 100) < quiet:
        latest_starts(a, p.state, boat, p.latest)
        op = first + random_below(seed, last - first)
        for other in range(op, last):
            if a.binding[other] == FREE:
                c.delay[other] = p.latest[other]
        return
    if random_below(seed, 4) > 0:
        c.delay[first:last] = 0
    if random_below(seed, 2) == 0:
        for _ in range(1 + random_below(seed, 4)):
            op = first + random_below(seed, last - first)
            if a.crew_max[op] > a.crew_min[op]:
                pick = random_below(seed, a.crew_max[op] - a.crew_min[op] + 2)
                c.crew[op] = 0 if pick == 0 else a.crew_min[op] + pick - 1
    if random_below(seed, 8) == 0:
        op = first + random_below(seed, last - first)
        days = 1 + random_below(seed, 8)
        if a.binding[op] == FREE:
            c.delay[op] = p.state.start[op] + days * a.ticks_per_day // 2


@kernel
def move(a: Arrays, p: Plant, quiet: int) -> int:
    """Take boats out and put them in again; returns how many, negative if one fails."""
    found = 0
    if quiet == 0 and random_below(p.seed, 100) < GIVE_WAY:
        found = give_way(a, p)
    if found == 0:
        found = draw_boats(a, p) if quiet == 0 else draw_one(p)
        for k in range(found):
            remember(a, p, p.out[k])
            vary(a, p, p.out[k], quiet)
    for k in range(found):
        take_out(a, p.state, p.out[k])
    for k in range(found):
        if not place_boat(a, p.state, p.choices, p.out[k]):
            for other in range(k):
                take_out(a, p.state, p.out[other])
            return -found
    return found


@kernel
def held_up(a: Arrays, p: Plant, boat: int) -> int:
    """An operation of a boat that begins later than what precedes it asks; -1: none."""
    first, last = a.boat_at[boat], a.boat_at[boat + 1]
    op = first + random_below(p.seed, last - first)
    for _ in range(last - first):
        if a.binding[op] == FREE and a.skill[op] >= 0:
            ready = lower_bounds(a, p.state, p.choices, op)[0]
            if p.state.start[op] > ready:
                return int(op)
        op = op + 1 if op + 1 < last else first
    return -1


@kernel
def in_the_way(a: Arrays, p: Plant, op: int, ready: int) -> int:
    """Work of another boat that has the people an operation waits for; -1: none.

    The service of a mold does not give way: pulls behind it rest on it.
    """
    s, found, count = p.state, -1, 0
    for other in range(a.boat_at[a.boats]):
        if (
            a.skill[other] == a.skill[op]
            and a.binding[other] == FREE
            and s.start[other] < s.start[op]
            and s.finish[other] > ready
            and a.boat_of[other] != a.boat_of[op]
        ):
            count += 1
            if random_below(p.seed, count) == 0:
                found = other
    return found


@kernel
def give_way(a: Arrays, p: Plant) -> int:
    """Take out two boats, of which one is to let an operation of the other go first.

    Its work until then keeps its place. Returns 2, or 0 where nothing is in the way.
    """
    draw_boats(a, p)
    boat = p.out[0]
    op = held_up(a, p, boat)
    if op < 0:
        return 0
    ready = lower_bounds(a, p.state, p.choices, op)[0]
    other = in_the_way(a, p, op, ready)
    if other < 0:
        return 0
    p.out[0], p.out[1] = a.boat_of[other], boat
    for k in range(2):
        remember(a, p, p.out[k])
    c, s = p.choices, p.state
    for before in range(a.boat_at[p.out[0]], other):
        if a.binding[before] == FREE:
            c.delay[before] = s.start[before]
    c.delay[other] = s.finish[op] - (s.start[op] - ready)
    c.delay[op] = 0
    return 2


@kernel
def draw_one(p: Plant) -> int:
    """Choose a single boat."""
    p.out[0] = p.choices.order[random_below(p.seed, len(p.choices.order))]
    return 1


@kernel
def run_reinsertions(
    a: Arrays,
    p: Plant,
    due_position: I32,
    boats: int,
    heat_from: float,
    heat_to: float,
    quiet: int,
) -> int:
    """Move until so many boats were put in again; returns how many moves were kept.

    `quiet` is the percentage of moves that only let a boat's work begin later.
    """
    kept, done = 0, 0
    while done < boats:
        found = move(a, p, quiet)
        done += abs(found)
        if found > 0:
            evaluate(a, p.state, due_position, p.value[1])
            heat = heat_from * (heat_to / heat_from) ** min(1.0, done / boats)
            if accept(p.value, p.seed, heat):
                kept += 1
                copy_row(p.value[1], p.value[0])
                if less(p.value[0], p.value[2]):
                    copy_row(p.value[0], p.value[2])
                    copy_plan(p.state, p.best)
                    copy_choices(p.choices, p.best_choices)
                continue
            for k in range(found):
                take_out(a, p.state, p.out[k])
        for k in range(abs(found)):
            put_back(a, p, p.out[k])
    return kept
