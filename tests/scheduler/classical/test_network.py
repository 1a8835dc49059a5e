"""Lists become schedules forward and backward; first schedules keep every rule."""

from __future__ import annotations

import numpy as np
import pytest

from scheduler.classical.breeding import breed_once, draw_first, new_breed, row_of
from scheduler.classical.instance import Activity, Instance, Project
from scheduler.classical.network import Network, network_of, place_all, turned
from scheduler.classical.sampling import NEVER, draw_in_time, draw_serially
from scheduler.compiling.arrays import I64
from scheduler.searching.chain import random_seed
from tests.scheduler.classical.small_instances import random_project


def is_sound(network: Network, start: I64, makespan: int) -> bool:
    """Whether starts keep predecessors, capacities and the makespan."""
    end = start + network.duration
    for k in range(len(start)):
        own = network.before[network.before_at[k] : network.before_at[k + 1]]
        if start[k] < 0 or (len(own) and start[k] < end[own].max()):
            return False
    for time in range(int(end.max())):
        runs = (start <= time) & (time < end)
        if (network.demand[runs].sum(axis=0) > network.capacity).any():
            return False
    return int(end.max()) == makespan


def test_a_list_worked_by_hand() -> None:
    """Two long ones share a crane of 2 at once; the short one waits for the first."""
    crane = (("crane", 1),)
    project = Project(
        "P",
        (Activity(3, crane, (2,)), Activity(2, crane), Activity(1, (("crane", 2),))),
    )
    network, whose = network_of(Instance((("crane", 2),), (project,)))
    assert whose == [(0, 0), (0, 1), (0, 2)]
    assert network.urgency.tolist() == [-1, 0, 0]
    start = np.zeros(3, np.int64)
    assert place_all(network, np.array([0, 1, 2]), start) == 4
    assert start.tolist() == [0, 0, 3]
    assert place_all(turned(network), np.array([2, 1, 0]), start) == 4
    assert start.tolist() == [1, 1, 0]


@pytest.mark.parametrize("seed", range(20))
def test_drawn_schedules_are_sound(seed: int) -> None:
    """Lists that were drawn and schedules drawn in time keep every rule."""
    network, _ = network_of(random_project(seed, most=12))
    count = len(network.duration)
    state, order = random_seed(seed), np.zeros(count, np.int64)
    start = np.zeros(count, np.int64)
    for sharpness in (0, 100, 300):
        makespan = draw_serially(network, sharpness, state, order, start)
        assert sorted(order) == list(range(count))
        assert is_sound(network, start, makespan)
        start[:] = -7
        makespan = draw_in_time(network, sharpness, state, start)
        assert is_sound(network, start, makespan)


@pytest.mark.parametrize("seed", range(10))
def test_what_is_bred_is_sound(seed: int) -> None:
    """Members of both directions keep the rules of their own; so does the best."""
    forward, _ = network_of(random_project(seed, most=12))
    backward = turned(forward)
    breed = new_breed(forward, 6, 0, seed)
    assert draw_first(forward, breed, 20) == 20
    for turn in range(6):
        assert breed_once(forward, backward, breed, turn % 2, 7) <= 7
        for direction, network in enumerate((forward, backward)):
            for member in range(6):
                makespan = int(breed.makespan[direction, member])
                start = breed.start[row_of(breed, direction, member)]
                assert makespan == NEVER or is_sound(network, start, makespan)
    assert is_sound(forward, breed.best_start, int(breed.best[0]))
