"""Schedules with a limited delay: sound, and at both ends of the limit as published."""

from __future__ import annotations

import numpy as np
import pytest

from scheduler.classical.delaying import place_soon
from scheduler.classical.instance import Activity, Instance, Project
from scheduler.classical.network import Network, network_of, place_all, turned
from scheduler.classical.sampling import NEVER
from scheduler.compiling.arrays import I64
from tests.scheduler.classical.small_instances import random_project
from tests.scheduler.classical.test_network import is_sound

CRANE, BOTH = (("crane", 1),), (("crane", 2),)


@pytest.mark.parametrize(
    ("latest", "starts", "makespan"),
    [(0, [0, 4, 0], 7), (2, [0, 4, 0], 7), (3, [0, 3, 6], 10)],
)
def test_a_limit_worked_by_hand(latest: int, starts: list[int], makespan: int) -> None:
    """The urgent one needs both cranes from 3 on; the least urgent could start at 0."""
    activities = (Activity(3, CRANE, ()), Activity(3, BOTH), Activity(4, CRANE))
    network, _ = network_of(Instance(BOTH, (Project("P", activities),)))
    start = np.zeros(3, np.int64)
    assert place_soon(network, np.array([0.0, 1.0, 2.0]), latest, start) == makespan
    assert start.tolist() == starts


@pytest.mark.parametrize("seed", range(20))
def test_schedules_are_sound_forward_and_backward(seed: int) -> None:
    """For any keys and any limit, in both directions of time."""
    forward, _ = network_of(random_project(seed, most=12))
    random = np.random.default_rng(seed)
    for network in (forward, turned(forward)):
        for latest in (0, 1, 3, NEVER):
            start = np.full(len(network.duration), -7)
            key = random.random(len(start))
            makespan = place_soon(network, key, latest, start)
            assert is_sound(network, start, makespan)


@pytest.mark.parametrize("seed", range(20))
def test_without_a_limit_it_is_the_list_by_keys(seed: int) -> None:
    """The same starts as when the list of the least keys is placed."""
    network, _ = network_of(random_project(seed, most=12))
    key = np.random.default_rng(seed).random(len(network.duration))
    start, expected = np.zeros(len(key), np.int64), np.zeros(len(key), np.int64)
    makespan = place_soon(network, key, NEVER, start)
    assert place_all(network, _list_of(network, key), expected) == makespan
    assert start.tolist() == expected.tolist()


@pytest.mark.parametrize("seed", range(20))
def test_without_delay_nothing_rests_that_could_run(seed: int) -> None:
    """With a limit of 0 no activity could run sooner beside those that run then."""
    network, _ = network_of(random_project(seed, most=12))
    key = np.random.default_rng(seed).random(len(network.duration))
    start = np.zeros(len(key), np.int64)
    place_soon(network, key, 0, start)
    for k in range(len(key)):
        own = network.before[network.before_at[k] : network.before_at[k + 1]]
        first = int((start + network.duration)[own].max(initial=0))
        for time in range(first, int(start[k])):
            begun = (start <= time) & (time < start + network.duration)
            load = network.demand[begun].sum(axis=0) + network.demand[k]
            assert (load > network.capacity).any()


def _list_of(network: Network, key: np.ndarray) -> I64:
    """Again and again the least key among those whose predecessors are listed."""
    listed: list[int] = []
    while len(listed) < len(key):
        left = [k for k in range(len(key)) if k not in listed]
        ready = [
            k
            for k in left
            if not set(network.before[network.before_at[k] : network.before_at[k + 1]])
            & set(left)
        ]
        listed.append(min(ready, key=lambda k: float(key[k])))
    return np.array(listed)
