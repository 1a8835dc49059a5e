"""Activities that each need a machine alone: orders, heads, tails, a critical path.

A plan is the order of each machine. Every activity then starts as soon as what comes
before it, on its machine and in its project, has ended: its *head*. Its *tail* is the
longest way from its start to the end of all. Where head and tail come to the makespan
it is critical: only a change of a critical path can shorten the plan.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from scheduler.classical.network import Network
from scheduler.compiling.arrays import I64, U64, TableI64
from scheduler.decoding.bundle import Bundle
from scheduler.decoding.kernel import inlined, kernel
from scheduler.searching.chain import random_below, random_seed

NONE = -1
MOST_ACTIVITIES = 3_000  # bans are kept for each pair


@dataclass(frozen=True, eq=False)
class Machines(Bundle):
    """A plan by the orders of machines, and what a search keeps beside it."""

    machine: I64  # that an activity needs, NONE where it needs none
    previous: I64  # on the machine, NONE for the first
    following: I64
    head: I64
    tail: I64
    order: I64  # activities so that none comes before what it waits for
    waiting: I64  # scratch: what is still to come before an activity
    path: I64  # scratch: activities of a critical path
    sequence: I64  # scratch: activities of one machine in a new order
    choice: I64  # scratch: [5] the best move, see `scheduler.classical.swapping`
    until: TableI64  # [activity, other]: not put before that other before this turn
    turn: I64  # [1] moves made
    seed: U64
    least: I64  # [1] the best makespan of this run
    least_previous: I64  # and its orders
    best: I64  # [1] the best of all, and its starts
    best_start: I64


def machines_of(network: Network, seed: int) -> Machines | None:
    """Machines of a network; None where some resource is no machine.

    On a machine one activity runs at a time, and none needs two machines. Networks in
    which work on a machine takes no time, and very large ones, have none either.
    """
    needs = network.demand > 0
    if len(needs) > MOST_ACTIVITIES:
        return None
    if (network.capacity != 1).any() or (needs.sum(axis=1) > 1).any():
        return None
    if (network.duration[needs.any(axis=1)] == 0).any():
        return None
    count = len(network.duration)

    def zeros() -> I64:
        return np.zeros(count, np.int64)

    return Machines(
        machine=np.where(needs.any(axis=1), needs.argmax(axis=1), NONE),
        previous=zeros(),
        following=zeros(),
        head=zeros(),
        tail=zeros(),
        order=zeros(),
        waiting=zeros(),
        path=zeros(),
        sequence=zeros(),
        choice=np.zeros(5, np.int64),
        until=np.zeros((count, count), np.int64),
        turn=np.zeros(1, np.int64),
        seed=random_seed(seed),
        least=np.zeros(1, np.int64),
        least_previous=zeros(),
        best=np.full(1, np.iinfo(np.int64).max),
        best_start=zeros(),
    )


def set_orders(machines: Machines, start: I64) -> None:
    """Order each machine by the starts of a schedule."""
    machines.previous[:] = NONE
    for machine in range(int(machines.machine.max(initial=NONE)) + 1):
        there = np.flatnonzero(machines.machine == machine)
        there = there[np.argsort(start[there], kind="stable")]
        machines.previous[there[1:]] = there[:-1]
    turn_back(machines)


@kernel
def turn_back(m: Machines) -> None:
    """Set what follows on each machine from what is before."""
    for k in range(len(m.previous)):
        m.following[k] = NONE
    for k in range(len(m.previous)):
        if m.previous[k] != NONE:
            m.following[m.previous[k]] = k


@kernel
def measure(n: Network, m: Machines) -> int:
    """Find all heads and tails; returns the makespan, or NONE for a circle."""
    count = listed = 0
    for k in range(len(m.previous)):
        m.waiting[k] = n.before_at[k + 1] - n.before_at[k]
        m.waiting[k] += m.previous[k] != NONE
        m.head[k] = 0
        if m.waiting[k] == 0:
            m.order[listed] = k
            listed += 1
    makespan = 0
    while count < listed:
        one = m.order[count]
        count += 1
        end = m.head[one] + n.duration[one]
        makespan = max(makespan, end)
        for p in range(n.after_at[one], n.after_at[one + 1]):
            listed = _list(m, n.after[p], end, listed)
        if m.following[one] != NONE:
            listed = _list(m, m.following[one], end, listed)
    if listed < len(m.previous):
        return NONE
    for place in range(listed - 1, -1, -1):
        one = m.order[place]
        m.tail[one] = n.duration[one] + _behind(n, m, one)
    return makespan


@inlined
def _list(m: Machines, one: int, end: int, listed: int) -> int:
    m.head[one] = max(m.head[one], end)
    m.waiting[one] -= 1
    if m.waiting[one] == 0:
        m.order[listed] = one
        return listed + 1
    return listed


@inlined
def _behind(n: Network, m: Machines, one: int) -> int:
    """The longest way from the end of an activity to the end of all."""
    longest = m.tail[m.following[one]] if m.following[one] != NONE else 0
    return max(longest, tail_after(n, m, one))


@inlined
def tail_after(n: Network, m: Machines, one: int) -> int:
    """The longest tail of what follows an activity in its project."""
    longest = 0
    for p in range(n.after_at[one], n.after_at[one + 1]):
        longest = max(longest, m.tail[n.after[p]])
    return longest


@inlined
def head_before(n: Network, m: Machines, one: int) -> int:
    """The last end of what comes before an activity in its project."""
    latest = 0
    for p in range(n.before_at[one], n.before_at[one + 1]):
        before = n.before[p]
        latest = max(latest, m.head[before] + n.duration[before])
    return latest


@inlined
def is_next(m: Machines, one: int, end: int, makespan: int) -> bool:
    """Whether an activity is critical and begins at an end."""
    return bool(m.head[one] == end and m.tail[one] == makespan - end)


@kernel
def draw_path(n: Network, m: Machines, makespan: int) -> int:
    """Draw a critical path; returns how many activities it has."""
    count = end = 0
    while end < makespan:
        seen, chosen = 0, NONE
        if count == 0:
            for k in range(len(m.head)):
                if is_next(m, k, 0, makespan):
                    seen += 1
                    if random_below(m.seed, seen) == 0:
                        chosen = k
        else:
            one = m.path[count - 1]
            after = m.following[one]
            if after != NONE and is_next(m, after, end, makespan):
                seen, chosen = 1, after
            for p in range(n.after_at[one], n.after_at[one + 1]):
                after = n.after[p]
                if is_next(m, after, end, makespan):
                    seen += 1
                    if random_below(m.seed, seen) == 0:
                        chosen = after
        m.path[count] = chosen
        count += 1
        end = m.head[chosen] + n.duration[chosen]
    return count
