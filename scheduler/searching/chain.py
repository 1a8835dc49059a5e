"""One chain of the search: annealing over boat order, crew sizes and delays.

Compiled, so that a chain runs at the decoder's speed. Plans are compared level by
level: a move is weighed by the weighted tardiness in open ticks, and only where that
is equal by work in process. States are kept at intervals of the order, so that a move
decodes again only from the first boat it touches.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from scheduler.compiling.arrays import FREE, I32, I64, U64, Arrays, TableI64
from scheduler.decoding.bundle import Bundle
from scheduler.decoding.decoder import (
    VALUES,
    copy_state,
    evaluate,
    new_state,
    place_all,
)
from scheduler.decoding.kernel import copy_row, kernel
from scheduler.decoding.placing import Choices, State, copied
from scheduler.searching.latest import latest_starts

SHELVES = 8
Shelf = tuple[State, ...]
"""States kept while an order is decoded, one for each of SHELVES places in it."""


@dataclass(frozen=True, eq=False)
class Chain(Bundle):
    """Everything that one chain owns."""

    current: Choices
    trial: Choices
    best: Choices
    value: TableI64  # [3, VALUES]: current, trial, best
    seed: U64  # [1] state of the random numbers
    place_of: I32  # scratch: place of each boat in the order
    first_place: I32  # [1]: boats before this place hold molds or places and lead
    latest: I32  # scratch: latest starts
    quiet: I32  # [1]: percentage of moves that only let work begin later


def new_choices(a: Arrays, order: I32) -> Choices:
    """Choices with a given order, the crew that finishes first, and no delays."""
    operations = len(a.boat_of)
    return Choices(
        order.astype(np.int32),
        np.zeros(operations, np.int8),
        np.zeros(operations, np.int32),
    )


def new_chain(a: Arrays, start: Choices, seed: int, leading: int) -> Chain:
    """A chain that begins from given choices."""
    return Chain(
        current=copied(start),
        trial=copied(start),
        best=copied(start),
        value=np.full((3, VALUES), np.iinfo(np.int64).max // 4, np.int64),
        seed=random_seed(seed),
        place_of=np.zeros(len(a.boat_due), np.int32),
        first_place=np.array([leading], np.int32),
        latest=np.zeros(len(a.boat_of), np.int32),
        quiet=np.zeros(1, np.int32),
    )


def random_seed(seed: int) -> U64:
    """State of the random numbers of a seed."""
    return np.array([seed * 2654435761 + 88172645463325252], np.uint64)


@kernel
def random_below(seed: U64, limit: int) -> int:
    """A random whole number in [0, limit) (xorshift, as published by Marsaglia)."""
    x = seed[0]
    x ^= x << np.uint64(13)
    x ^= x >> np.uint64(7)
    x ^= x << np.uint64(17)
    seed[0] = x
    return np.int64((x >> np.uint64(11)) % np.uint64(limit))  # type: ignore[return-value]


@kernel
def random_share(seed: U64) -> float:
    """A random number in [0, 1)."""
    return random_below(seed, 1 << 30) / float(1 << 30)


@kernel
def copy_choices(source: Choices, target: Choices) -> None:
    """Copy choices over others."""
    copy_row(source.order, target.order)
    copy_row(source.crew, target.crew)
    copy_row(source.delay, target.delay)


@kernel
def less(left: I64, right: I64) -> bool:
    """Whether a value vector is better than another, level by level."""
    for k in range(len(left)):
        if left[k] != right[k]:
            return bool(left[k] < right[k])
    return False


@kernel
def move_boat(order: I32, source: int, target: int) -> None:
    """Take the boat at one place of the order and put it at another."""
    boat = order[source]
    step = 1 if target > source else -1
    place = source
    while place != target:
        order[place] = order[place + step]
        place += step
    order[target] = boat


@kernel
def pick_boat(a: Arrays, s: State, chain: Chain) -> int:
    """A place in the order: half of the time that of a late boat, if there is one."""
    count = len(chain.current.order)
    place = random_below(chain.seed, count)
    if random_below(chain.seed, 2) == 0:
        for _ in range(count):
            boat = chain.current.order[place]
            if is_late(a, s, boat):
                return place
            place = (place + 1) % count
    return place


@kernel
def is_late(a: Arrays, s: State, boat: int) -> bool:
    """Whether a boat of the state last decoded is finished after its due day."""
    for op in range(a.boat_at[boat], a.boat_at[boat + 1]):
        if a.day_index[min(s.finish[op], a.ticks)] > a.boat_due[boat]:
            return True
    return False


@kernel
def propose(a: Arrays, s: State, chain: Chain) -> int:
    """Change the trial choices; returns the first place of the order that changed."""
    trial, seed = chain.trial, chain.seed
    count = len(trial.order)
    kind = random_below(seed, 100)
    if random_below(seed, 100) < chain.quiet[0]:
        kind = 99
    place = pick_boat(a, s, chain)
    leading = chain.first_place[0]
    low, high = (0, leading) if place < leading else (leading, count)
    if kind < 60 and high - low > 1:
        if random_below(seed, 2) == 0:
            boat = trial.order[place]
            trial.delay[a.boat_at[boat] : a.boat_at[boat + 1]] = 0
        return propose_order(chain, place, low, high, kind)
    boat = trial.order[place]
    first, last = a.boat_at[boat], a.boat_at[boat + 1]
    op = first + random_below(seed, last - first)
    if kind < 85:
        changes = 1 if kind < 75 else 4
        for _ in range(changes):
            if a.binding[op] != 1 and a.crew_max[op] > a.crew_min[op]:
                sizes = a.crew_max[op] - a.crew_min[op] + 2
                pick = random_below(seed, sizes)
                trial.crew[op] = 0 if pick == 0 else a.crew_min[op] + pick - 1
            op = first + random_below(seed, last - first)
        return place
    if kind < 90:
        trial.delay[first:last] = 0
    elif kind < 94 and a.binding[op] == FREE:
        days = 1 + random_below(seed, 4)
        trial.delay[op] = s.start[op] + days * a.ticks_per_day // 2
    else:
        propose_late(a, s, chain, boat, op)
    return place


@kernel
def propose_late(a: Arrays, s: State, chain: Chain, boat: int, op: int) -> None:
    """Let a stretch of a boat's work begin as late as its finish allows."""
    latest_starts(a, s, boat, chain.latest)
    last = a.boat_at[boat + 1]
    until = last
    if random_below(chain.seed, 3) > 0:
        until = min(last, op + 1 + random_below(chain.seed, 12))
    else:
        op = a.boat_at[boat]
    for other in range(op, until):
        if a.binding[other] == FREE:
            chain.trial.delay[other] = chain.latest[other]


@kernel
def propose_order(chain: Chain, place: int, low: int, high: int, kind: int) -> int:
    """Move, exchange or pull a boat forward within its stretch of the order."""
    order, seed = chain.trial.order, chain.seed
    if kind < 25:
        other = low + random_below(seed, high - low)
    else:
        reach = 1 + random_below(seed, max(1, min(6, high - low - 1)))
        other = place - reach if kind < 45 or random_below(seed, 2) else place + reach
        other = min(max(other, low), high - 1)
    if 15 <= kind < 25:
        order[place], order[other] = order[other], order[place]
    else:
        move_boat(order, place, other)
    return min(place, other)


@kernel
def accept(value: I64, seed: U64, heat: float) -> bool:
    """Annealing, level by level: tardiness first, work in process where it is equal.

    Rows of `value`: what is now, and what is tried.
    """
    worse = value[1, 1] - value[0, 1]
    if worse == 0:
        worse = value[1, 2] - value[0, 2]
        scale = heat * 40.0
    else:
        scale = heat
    if worse <= 0:
        return True
    return bool(scale > 0 and random_share(seed) < np.exp(-worse / scale))


@kernel
def shelf_place(level: int, leading: int, count: int) -> int:
    """The place of the order before which a shelf's state stands."""
    if level == 0:
        return 0
    stride = max(1, -(-(count - leading) // (SHELVES - 1)))
    return min(count, leading + (level - 1) * stride)


@kernel
def decode_from(
    a: Arrays, s: State, shelf: Shelf, chain: Chain, first: int, valid: int
) -> int:
    """Decode the trial from the last shelf before the first change.

    On the way it fills the shelves that stand before that change. Returns how many
    shelves are valid then, negative if there is no plan.
    """
    count, leading = len(chain.current.order), chain.first_place[0]
    since = a.position_at[min(a.now, a.ticks)]
    level = 0
    while level + 1 < valid and shelf_place(level + 1, leading, count) <= first:
        level += 1
    copy_state(shelf[level], s, since)
    place = shelf_place(level, leading, count)
    while place < count:
        upto = count
        if level + 1 < SHELVES:
            upto = shelf_place(level + 1, leading, count)
        if not place_all(a, s, chain.trial, place, upto):
            return -valid
        place = upto
        level += 1
        if level == valid and level < SHELVES and place <= first:
            copy_state(s, shelf[level], since)
            valid += 1
    return valid


@kernel
def run_chain(
    a: Arrays,
    facts: State,
    s: State,
    shelf: Shelf,
    chain: Chain,
    due_position: I32,
    turns: int,
    heat_from: float,
    heat_to: float,
) -> int:
    """Run a number of decodes; returns how many of them gave a plan.

    `shelf` holds SHELVES states, `s` is one to work in.
    """
    for level in range(SHELVES):
        copy_state(facts, shelf[level], 0)
    copy_state(facts, s, 0)
    good, valid, first = 0, 1, 0
    leading = chain.first_place[0]
    count = len(chain.current.order)
    for turn in range(turns):
        copy_choices(chain.current, chain.trial)
        if turn > 0:
            first = propose(a, s, chain)
        outcome = decode_from(a, s, shelf, chain, first, valid)
        valid = abs(outcome)
        if outcome < 0:
            continue
        good += 1
        evaluate(a, s, due_position, chain.value[1])
        heat = heat_from * (heat_to / heat_from) ** (turn / turns)
        if turn == 0 or accept(chain.value, chain.seed, heat):
            copy_choices(chain.trial, chain.current)
            copy_row(chain.value[1], chain.value[0])
            while valid > 1 and shelf_place(valid - 1, leading, count) > first:
                valid -= 1
            if less(chain.value[0], chain.value[2]):
                copy_choices(chain.current, chain.best)
                copy_row(chain.value[0], chain.value[2])
    return good


def new_shelf(a: Arrays) -> Shelf:
    """Allocate the shelves of a chain."""
    no_crews = np.zeros((1, a.kinds_free.shape[0]), np.uint64)  # never read from there
    return tuple(replace(new_state(a), share=no_crews) for _ in range(SHELVES))
