"""A search that moves critical activities along their machines.

On a critical path, neighbors on one machine make a block. One of its activities is
moved to its end or its beginning, or its first or last one into it: other changes
cannot shorten the plan. What a move leads to is estimated from the heads and tails
around it; the best is made even if it is a step back, and what it turned round stays so
for some turns (tabu search). A run that gains nothing any more begins anew from one of
the best plans, some of whose neighbors have changed places. All of it is published for
job shops; the estimate is that of Balas and Vazacopoulos, the lengths of the bans are
those of Zhang and others (from memory).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from scheduler.classical.machines import (
    NONE,
    Machines,
    draw_path,
    head_before,
    measure,
    set_orders,
    tail_after,
    turn_back,
)
from scheduler.classical.network import Network
from scheduler.classical.sampling import NEVER, draw_serially
from scheduler.compiling.arrays import I64
from scheduler.decoding.kernel import copy_row, inlined, kernel
from scheduler.searching.chain import random_below

if TYPE_CHECKING:
    from scheduler.classical.count import Count

PATIENCE = 5_000  # turns without a gain, then a run ends
BAN = 10  # turns for which what was turned round stays so, at least
ELITE = 8  # plans that runs begin from
SHARPNESS = 100  # of first lists, see `draw_list`
CHOSEN, VALUE, TIES, SPARE, SPARES = range(5)  # of `Machines.choice`
STALE_RUNS = 100  # without a gain, then plans to begin from are drawn anew
KICKS = 20  # neighbors that change places before a run, at most


@inlined
def may_follow(n: Network, m: Machines, one: int, other: int) -> bool:
    """Whether an activity may be moved behind another on its machine.

    No way leads from what follows it in its project to the other, as what is on such
    a way has the longer tail.
    """
    return bool(m.tail[other] > tail_after(n, m, one))


@inlined
def may_precede(n: Network, m: Machines, one: int, other: int) -> bool:
    """Whether an activity may be moved before another on its machine."""
    return bool(m.head[other] + n.duration[other] > head_before(n, m, one))


@kernel
def lay_out(m: Machines, first: int, last: int, forward: bool) -> int:
    """Write the activities from first to last, the first or the last one moved."""
    count, one = 0, first
    if not forward:
        m.sequence[0] = last
        count = 1
    else:
        one = m.following[first]
    while True:
        if forward or one != last:
            m.sequence[count] = one
            count += 1
        if one == last:
            break
        one = m.following[one]
    if forward:
        m.sequence[count] = first
        count += 1
    return count


@kernel
def estimate(n: Network, m: Machines, before: int, after: int, count: int) -> int:
    """What the longest way through a new order comes to, heads and tails around kept.

    The order is that of the first `count` of `m.sequence`; `m.waiting` is overwritten.
    """
    end = m.head[before] + n.duration[before] if before != NONE else 0
    for k in range(count):
        one = m.sequence[k]
        end = max(end, head_before(n, m, one))
        m.waiting[k] = end
        end += n.duration[one]
    tail = m.tail[after] if after != NONE else 0
    longest = 0
    for k in range(count - 1, -1, -1):
        one = m.sequence[k]
        tail = n.duration[one] + max(tail, tail_after(n, m, one))
        longest = max(longest, m.waiting[k] + tail)
    return longest


@inlined
def moved(m: Machines, count: int, forward: bool) -> int:
    """Which activity of a new order was moved."""
    return int(m.sequence[count - 1 if forward else 0])


@kernel
def is_banned(m: Machines, count: int, forward: bool) -> bool:
    """Whether the new order turns round what is to stay as it is."""
    one, banned = moved(m, count, forward), False
    for k in range(count):
        other = m.sequence[k]
        until = m.until[other, one] if forward else m.until[one, other]
        banned |= until > m.turn[0]
    return banned


@kernel
def ban(m: Machines, count: int, forward: bool, turns: int) -> None:
    """Let what the new order turned round stay so for some turns."""
    one, until = moved(m, count, forward), m.turn[0] + turns
    for k in range(count):
        other = m.sequence[k]
        if other != one and forward:
            m.until[one, other] = until
        elif other != one:
            m.until[other, one] = until


@kernel
def put(m: Machines, before: int, after: int, count: int) -> None:
    """Put the new order in place of the old one."""
    for k in range(count):
        one = m.sequence[k]
        m.previous[one] = before
        if before != NONE:
            m.following[before] = one
        before = one
    m.following[before] = after
    if after != NONE:
        m.previous[after] = before


@kernel
def search_run(n: Network, m: Machines, patience: int, bound: int, most: int) -> int:
    """Move until nothing is gained any more; returns the plans measured.

    The best plan of the run is in `least` and `least_previous`.
    """
    least, stale, done = NEVER, 0, 0
    base = BAN + base_of(m)
    while done < most:
        makespan = measure(n, m)
        done += 1
        m.turn[0] += 1
        stale += 1
        if makespan < least:
            least, stale = makespan, 0
            copy_row(m.previous, m.least_previous)
            if makespan < m.best[0]:
                m.best[0] = makespan
                copy_row(m.head, m.best_start)
        if stale > patience or least <= bound or not step(n, m, makespan, least, base):
            break
    m.least[0] = least
    return done


@kernel
def base_of(m: Machines) -> int:
    """Activities of a machine, over the number of machines."""
    last = needing = 0
    for k in range(len(m.machine)):
        last = max(last, m.machine[k] + 1)
        needing += m.machine[k] != NONE
    return needing // max(1, last * last)


@kernel
def step(n: Network, m: Machines, makespan: int, least: int, base: int) -> bool:
    """Make the best move on a critical path; False if there is none."""
    length = draw_path(n, m, makespan)
    m.choice[CHOSEN], m.choice[VALUE], m.choice[TIES] = NONE, NEVER, 0
    m.choice[SPARE], m.choice[SPARES] = NONE, 0
    begin = 0
    while begin < length:
        end = begin
        while end + 1 < length and m.following[m.path[end]] == m.path[end + 1]:
            end += 1
        for move in range(4 * (end - begin)):
            first, last, forward = move_of(begin, end, move)
            if gains_nothing(begin, end, length, first, last, forward):
                continue
            look_at(n, m, (first * length + last) * 2 + forward, length, least)
        begin = end + 1
    chosen = m.choice[CHOSEN] if m.choice[CHOSEN] != NONE else m.choice[SPARE]
    if chosen == NONE:
        return False
    one, other = m.path[chosen // 2 // length], m.path[chosen // 2 % length]
    turns = base + random_below(m.seed, 1 + base * 2 // 5)
    make(m, one, other, chosen % 2 == 1, turns)
    return True


@inlined
def gains_nothing(
    begin: int, end: int, length: int, first: int, last: int, forward: bool
) -> bool:
    """Whether a move changes neither end of a block that makes the path as long."""
    if forward:
        return first > begin and end == length - 1
    return last < end and begin == 0


@kernel
def look_at(n: Network, m: Machines, code: int, length: int, least: int) -> None:
    """Note a move if it may be made and is the best so far.

    `code` holds the places of its first and last activity on the path, and whether the
    first moves behind the last. Of all that may be made one is kept to spare, in case
    each is banned; a ban does not hold against a plan that is the best of the run.
    """
    forward = code % 2 == 1
    one, other = m.path[code // 2 // length], m.path[code // 2 % length]
    if forward and not may_follow(n, m, one, other):
        return
    if not forward and not may_precede(n, m, other, one):
        return
    count = lay_out(m, one, other, forward)
    value = estimate(n, m, m.previous[one], m.following[other], count)
    m.choice[SPARES] += 1
    if random_below(m.seed, m.choice[SPARES]) == 0:
        m.choice[SPARE] = code
    if value > m.choice[VALUE] or (value >= least and is_banned(m, count, forward)):
        return
    if value < m.choice[VALUE]:
        m.choice[VALUE], m.choice[TIES] = value, 0
    m.choice[TIES] += 1
    if random_below(m.seed, m.choice[TIES]) == 0:
        m.choice[CHOSEN] = code


@inlined
def move_of(begin: int, end: int, move: int) -> tuple[int, int, bool]:
    """First and last place of a move of a block, and whether the first one moves."""
    k, kind = begin + move // 4, move % 4
    if kind == 0:
        return k, end, True
    if kind == 1:
        return begin, k + 1, False
    if kind == 2:
        return begin, k + 1, True
    return k, end, False


@kernel
def make(m: Machines, one: int, other: int, forward: bool, turns: int) -> None:
    """Move the first of some activities behind the last, or the last before it."""
    before, after = m.previous[one], m.following[other]
    count = lay_out(m, one, other, forward)
    ban(m, count, forward, turns)
    put(m, before, after, count)


@kernel
def kick(n: Network, m: Machines, times: int) -> int:
    """Let neighbors of critical paths change places; returns the plans measured."""
    for done in range(times):
        makespan = measure(n, m)
        length = draw_path(n, m, makespan)
        pairs, chosen = 0, NONE
        for k in range(length - 1):
            one, other = m.path[k], m.path[k + 1]
            if m.following[one] == other and may_follow(n, m, one, other):
                pairs += 1
                if random_below(m.seed, pairs) == 0:
                    chosen = k
        if chosen == NONE:
            return done + 1
        make(m, m.path[chosen], m.path[chosen + 1], True, BAN)
    return times


def swap(network: Network, machines: Machines, bound: int, count: Count) -> None:
    """Search until the bound is met or nothing is left to spend.

    The best makespan is in `machines.best`, its starts in `best_start`.
    """
    elite: list[tuple[int, I64]] = []
    order, start = np.zeros_like(machines.order), np.zeros_like(machines.order)
    stale = 0
    while count.left > 0 and machines.best[0] > bound:
        if stale > STALE_RUNS:
            elite, stale = [], 0
        if len(elite) < ELITE:
            draw_serially(network, SHARPNESS, machines.seed, order, start)
            set_orders(machines, start)
            count.done += 1
        else:
            drawn = int(random_below(machines.seed, ELITE))
            machines.previous[:] = elite[drawn][1]
            turn_back(machines)
            kicks = min(count.left, 1 + int(random_below(machines.seed, KICKS)))
            count.done += int(kick(network, machines, kicks))
        count.done += int(search_run(network, machines, PATIENCE, bound, count.left))
        gains = not elite or machines.least[0] < elite[0][0]
        stale = 0 if gains else stale + 1
        elite = _kept(elite, (int(machines.least[0]), machines.least_previous.copy()))


def _kept(
    elite: list[tuple[int, I64]], found: tuple[int, I64]
) -> list[tuple[int, I64]]:
    """The best plans, no two of them the same."""
    if any(value == found[0] and (one == found[1]).all() for value, one in elite):
        return elite
    return sorted([*elite, found], key=lambda one: one[0])[:ELITE]
