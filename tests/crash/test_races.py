"""Eight processes at the same order, or at the published plan: one of them wins."""

from __future__ import annotations

import json

import pytest

from tests.crash.conftest import Rig
from tests.crash.raced import PROCESSES

FEW, MANY = 6, 1000
ONE_WINNER = json.dumps({"overtaken": PROCESSES - 1, "won": 1})


def race(rig: Rig, address: str, rounds: int) -> None:
    """Race, and count: one winner a round, the others told, nothing lost."""
    seen = rig("raced", address, rounds)
    print(seen)
    assert seen["rounds"] == {ONE_WINNER: rounds}
    assert seen["load"] == 1 + (rounds + 1) // 2
    assert seen["plan"] == 1 + rounds // 2
    assert seen["faults"] == []


def test_one_of_eight_wins(rig: Rig, address: str) -> None:
    """In each round one change is kept, seven are told so, none sees a lock."""
    race(rig, address, FEW)


@pytest.mark.slow
def test_one_of_eight_wins_a_thousand_times(rig: Rig, address: str) -> None:
    """As above, a thousand rounds."""
    race(rig, address, MANY)


def reserve(rig: Rig, address: str, rounds: int) -> None:
    """Let desks reserve one slot: one has it, the others quote again."""
    seen = rig("reserved", address, rounds)
    print(seen)
    assert seen == {"rounds": {ONE_WINNER: rounds}, "kept": rounds, "faults": []}


def test_one_of_eight_desks_has_the_slot(rig: Rig, address: str) -> None:
    """Two desks cannot sell the same slot."""
    reserve(rig, address, FEW)


@pytest.mark.slow
def test_one_of_eight_desks_has_the_slot_a_thousand_times(
    rig: Rig, address: str
) -> None:
    """As above, a thousand rounds."""
    reserve(rig, address, MANY)
