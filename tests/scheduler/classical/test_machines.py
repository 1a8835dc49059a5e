"""Orders of machines: heads, tails and critical paths against plain longest ways."""

from __future__ import annotations

from itertools import pairwise
from random import Random

import numpy as np
import pytest

from scheduler.classical.instance import Activity, Instance, Project
from scheduler.classical.machines import (
    MOST_ACTIVITIES,
    NONE,
    Machines,
    draw_path,
    machines_of,
    measure,
    set_orders,
)
from scheduler.classical.network import Network, network_of
from scheduler.classical.sampling import draw_serially
from tests.scheduler.classical.small_instances import random_shop


def machine_project(seed: int, most: int = 6) -> Instance:
    """A project of at most so many activities, some of them alone on a machine."""
    random = Random(seed)
    count = random.randint(2, most)
    activities = []
    for place in range(count):
        name = random.choice(("M1", "M2", None))
        activities.append(
            Activity(
                random.randint(1, 6) if name else random.randint(0, 6),
                ((name, 1),) if name else (),
                tuple(n for n in range(place + 1, count) if random.random() < 0.25),
            )
        )
    return Instance((("M1", 1), ("M2", 1)), (Project("P", tuple(activities)),))


def drawn_plan(instance: Instance, seed: int) -> tuple[Network, Machines]:
    """Machines in the order of a list that was drawn."""
    network, _ = network_of(instance)
    machines = machines_of(network, seed)
    assert machines is not None
    order, start = np.zeros_like(machines.order), np.zeros_like(machines.order)
    draw_serially(network, 100, machines.seed, order, start)
    set_orders(machines, start)
    return network, machines


def arcs_of(network: Network, machines: Machines) -> list[tuple[int, int]]:
    """What must end before what."""
    arcs = [
        (one, int(network.after[p]))
        for one in range(len(network.duration))
        for p in range(network.after_at[one], network.after_at[one + 1])
    ]
    return arcs + [
        (int(one), k) for k, one in enumerate(machines.previous) if one != NONE
    ]


@pytest.mark.parametrize("seed", range(40))
def test_heads_and_tails_are_longest_ways(seed: int) -> None:
    """Against ways made longer until nothing changes any more."""
    instance = random_shop(seed, 4) if seed % 2 else machine_project(seed, 9)
    network, machines = drawn_plan(instance, seed)
    makespan = measure(network, machines)
    arcs, duration = arcs_of(network, machines), network.duration
    head, tail = np.zeros_like(duration), duration.copy()
    for _ in duration:
        for one, other in arcs:
            head[other] = max(head[other], head[one] + duration[one])
            tail[one] = max(tail[one], duration[one] + tail[other])
    assert machines.head.tolist() == head.tolist()
    assert machines.tail.tolist() == tail.tolist()
    assert makespan == (head + duration).max()


@pytest.mark.parametrize("seed", range(20))
def test_a_path_is_as_long_as_the_plan(seed: int) -> None:
    """Each activity of it begins where the one before it ends, and waits for it."""
    network, machines = drawn_plan(random_shop(seed, 4), seed)
    makespan = measure(network, machines)
    path = machines.path[: draw_path(network, machines, makespan)].tolist()
    assert network.duration[path].sum() == makespan
    arcs = set(arcs_of(network, machines))
    assert set(pairwise(path)) <= arcs


def test_a_circle_is_told() -> None:
    """Two jobs on two machines, each first where the other is last."""
    network, machines = drawn_plan(random_shop(1, 2, 2), 0)
    first = [k for k in range(4) if network.before_at[k] == network.before_at[k + 1]]
    last = [k for k in range(4) if k not in first]
    machines.previous[:] = NONE
    for one in last:  # before the first step of the other job, or of its own
        other = (
            first[0]
            if machines.machine[first[0]] == machines.machine[one]
            else first[1]
        )
        machines.previous[other] = one
        machines.following[one] = other
    machines.following[first] = NONE
    assert measure(network, machines) == NONE


@pytest.mark.parametrize(
    "instance",
    [
        Instance((("M", 2),), (Project("P", (Activity(2, (("M", 1),)),)),)),
        Instance(
            (("M", 1), ("N", 1)), (Project("P", (Activity(2, (("M", 1), ("N", 1))),)),)
        ),
        Instance((("M", 1),), (Project("P", (Activity(0, (("M", 1),)),)),)),
        Instance((("M", 1),), (Project("P", (Activity(1),) * (MOST_ACTIVITIES + 1)),)),
    ],
    ids=["two places", "two machines", "no time", "many"],
)
def test_other_instances_have_no_machines(instance: Instance) -> None:
    """They are left to the populations."""
    assert machines_of(network_of(instance)[0], 0) is None
