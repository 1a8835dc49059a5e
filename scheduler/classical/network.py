"""Activities as flat arrays, and the two ways to make a schedule of them.

A schedule gives each activity its start, in time units from 0. A *list* of activities,
none before what it follows, becomes one where each in turn starts as early as
resources and its predecessors let it (serial schedule generation). In a network with
every arc turned the same makes a schedule backward in time.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from scheduler.classical.instance import Instance, in_order
from scheduler.compiling.arrays import I64, TableI64
from scheduler.decoding.bundle import Bundle
from scheduler.decoding.kernel import kernel

if TYPE_CHECKING:
    from collections.abc import Sequence

LISTED = -1  # in place of the number of predecessors still to be listed


@dataclass(frozen=True, eq=False)
class Network(Bundle):
    """Activities, numbered so that followers come later, and what they demand.

    Predecessors of activity k are `before[before_at[k] : before_at[k + 1]]`; followers
    are kept likewise. `urgency` is minus the longest chain that follows an activity's
    end: what has the least of it has the least latest finish.
    """

    duration: I64
    demand: TableI64  # [activity, resource]
    capacity: I64
    before_at: I64
    before: I64
    after_at: I64
    after: I64
    urgency: I64
    taken: TableI64  # scratch: [time, resource]
    waiting: I64  # scratch: predecessors that are not in a list yet
    ready: I64  # scratch: what stands for choice
    soonest: I64  # scratch: the first start of each of them


def network_of(instance: Instance) -> tuple[Network, list[tuple[int, int]]]:
    """All activities of an instance; with project and place (from 0) of each.

    Releases and due dates are left out.

    Raises
    ------
    UsageError
        If activities follow each other in a circle.
    """
    names = [name for name, _ in instance.capacities]
    whose = [
        (number, place)
        for number, project in enumerate(instance.projects)
        for place in in_order(project)
    ]
    number_of = {one: number for number, one in enumerate(whose)}
    duration = np.zeros(len(whose), np.int64)
    demand = np.zeros((len(whose), len(names)), np.int64)
    before: list[list[int]] = [[] for _ in whose]
    after: list[list[int]] = [[] for _ in whose]
    for number, (project, place) in enumerate(whose):
        activity = instance.projects[project].activities[place]
        duration[number] = activity.duration
        for name, amount in activity.demands:
            demand[number, names.index(name)] += amount
        for follower in activity.followers:
            after[number].append(number_of[project, follower])
            before[number_of[project, follower]].append(number)
    before_at, before_list = _flat(before)
    after_at, after_list = _flat(after)
    network = Network(
        duration=duration,
        demand=demand,
        capacity=np.array([most for _, most in instance.capacities], np.int64),
        before_at=before_at,
        before=before_list,
        after_at=after_at,
        after=after_list,
        urgency=_urgency(duration, after),
        taken=np.zeros((int(duration.sum()) + 1, len(names)), np.int64),
        waiting=np.zeros(len(whose), np.int64),
        ready=np.zeros(len(whose), np.int64),
        soonest=np.zeros(len(whose), np.int64),
    )
    return network, whose


def turned(network: Network) -> Network:
    """The network backward in time; its numbers stay."""
    return replace(
        network,
        before_at=network.after_at,
        before=network.after,
        after_at=network.before_at,
        after=network.before,
    )


def _flat(rows: Sequence[Sequence[int]]) -> tuple[I64, I64]:
    at = np.zeros(len(rows) + 1, np.int64)
    at[1:] = np.cumsum([len(row) for row in rows])
    return at, np.array([one for row in rows for one in row], np.int64)


def _urgency(duration: I64, after: Sequence[Sequence[int]]) -> I64:
    chain = np.zeros(len(duration), np.int64)
    for number in reversed(range(len(duration))):
        chain[number] = max((duration[k] + chain[k] for k in after[number]), default=0)
    return -chain


@kernel
def place_all(network: Network, order: I64, start: I64) -> int:
    """Turn a list into a schedule; returns its makespan."""
    taken, duration = network.taken, network.duration
    for time in range(taken.shape[0]):
        for resource in range(taken.shape[1]):
            taken[time, resource] = 0
    makespan = 0
    for k in range(len(order)):
        activity = order[k]
        begin = 0
        for p in range(network.before_at[activity], network.before_at[activity + 1]):
            one = network.before[p]
            begin = max(begin, start[one] + duration[one])
        begin = first_fit(network, activity, begin)
        start[activity] = begin
        end = begin + duration[activity]
        for time in range(begin, end):
            for resource in range(taken.shape[1]):
                taken[time, resource] += network.demand[activity, resource]
        makespan = max(makespan, end)
    return makespan


@kernel
def first_fit(network: Network, activity: int, begin: int) -> int:
    """The first start from `begin` on at which resources suffice throughout."""
    time = begin
    while time < begin + network.duration[activity]:
        fits = True
        for resource in range(network.taken.shape[1]):
            amount = network.taken[time, resource] + network.demand[activity, resource]
            if amount > network.capacity[resource]:
                fits = False
                break
        time += 1
        if not fits:
            begin = time
    return begin


@kernel
def begin_list(network: Network) -> None:
    """Begin a list: nothing is in it."""
    for k in range(len(network.waiting)):
        network.waiting[k] = network.before_at[k + 1] - network.before_at[k]


@kernel
def put_in_list(network: Network, activity: int) -> None:
    """Note that an activity is in the list, so that followers may come next."""
    network.waiting[activity] = LISTED
    for p in range(network.after_at[activity], network.after_at[activity + 1]):
        network.waiting[network.after[p]] -= 1
