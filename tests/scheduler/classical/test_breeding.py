"""Populations that breed: what a member is known by must be true of it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from scheduler.classical.breeding import Breed, breed_once, draw_first, new_breed
from scheduler.classical.network import network_of, turned
from scheduler.classical.reading import read_instance
from scheduler.classical.sampling import NEVER
from scheduler.compiling.arrays import I64

DATA = Path(__file__).resolve().parents[2] / "outside/data"
MEMBERS = 8


@pytest.mark.parametrize("weighs", [0, 1])
def test_every_member_is_known_by_its_own_makespan_and_starts(weighs: int) -> None:
    """In both populations, after draws and after breeding."""
    forward, _ = network_of(read_instance(DATA / "j30_13_1.rcp"))
    backward = turned(forward)
    breed = replace(new_breed(forward, MEMBERS, 0, 3), weighs_starts=weighs)
    draw_first(forward, breed, 3 * MEMBERS)
    _check(breed, forward.duration)
    for generation in range(6):
        breed_once(forward, backward, breed, generation % 2, NEVER)
        _check(breed, forward.duration)
    assert (breed.makespan < NEVER).all()


def _check(breed: Breed, duration: I64) -> None:
    for direction in range(2):
        for member in range(MEMBERS):
            if breed.makespan[direction, member] == NEVER:
                continue
            start = breed.start[direction * MEMBERS + member]
            assert breed.makespan[direction, member] == (start + duration).max()
            expected = start.sum() if breed.weighs_starts else 0
            assert breed.starts[direction, member] == expected
