"""Boats taken out of a plan and put in again."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from scheduler.compiling.compile import Compilation, compile_problem
from scheduler.decoding.decoder import VALUES, due_positions, evaluate
from scheduler.decoding.placing import State
from scheduler.searching.reinsert import (
    Plant,
    new_plant,
    put_back,
    remember,
    run_reinsertions,
    take_out,
)
from scheduler.searching.search import facts_of
from tests.scheduler.planned import random_choices
from tests.scheduler.random_problems import random_problem

KEPT = (
    "free", "least", "used", "taken_count", "placed", "start", "finish", "crew",
    "begin", "length", "hold_slot",
)  # fmt: skip


def planted(seed: int, *, facts: bool) -> tuple[Compilation, Plant]:
    """A whole plan of a random problem."""
    compilation = compile_problem(random_problem(seed, boats=5, facts=facts))
    a = compilation.arrays
    choices = random_choices(compilation, seed)
    plant = new_plant(a, facts_of(a), choices, due_positions(a), seed + 1)
    if plant is None or len(choices.order) == 0:
        pytest.skip("these choices give no plan")
    return compilation, plant


def slots(state: State) -> list[list[tuple[int, int, int]]]:
    """Occupations of every slot, in order of time."""
    rows = []
    for slot, count in enumerate(state.taken_count):
        columns = (state.taken_from, state.taken_to, state.taken_by)
        rows.append([tuple(int(one[slot, k]) for one in columns) for k in range(count)])
    return rows  # type: ignore[return-value]


@pytest.mark.parametrize("facts", [False, True])
@pytest.mark.parametrize("seed", range(12))
def test_what_is_taken_out_can_be_put_back(seed: int, facts: bool) -> None:
    """The state is then the same in everything."""
    compilation, plant = planted(seed, facts=facts)
    a, state = compilation.arrays, plant.state
    before = {name: getattr(state, name).copy() for name in KEPT}
    held = slots(state)
    boats = [int(boat) for boat in plant.choices.order[:3]]
    for boat in boats:
        remember(a, plant, boat)
    for boat in boats:
        take_out(a, state, boat)
    for boat in boats:
        put_back(a, plant, boat)
    for name, array in before.items():
        assert (getattr(state, name) == array).all(), name
    assert slots(state) == held


@pytest.mark.parametrize("facts", [False, True])
@pytest.mark.parametrize("quiet", [0, 100])
@pytest.mark.parametrize("seed", range(8))
def test_moves_keep_the_plan_whole(seed: int, quiet: int, facts: bool) -> None:
    """Everything stays placed, values are true, and no slot is taken twice."""
    compilation, plant = planted(seed, facts=facts)
    a, due = compilation.arrays, due_positions(compilation.arrays)
    value, first = np.zeros(VALUES, np.int64), tuple(plant.value[2])
    for _ in range(25):
        run_reinsertions(a, plant, due, 4, 200.0, 200.0, quiet)
        for state, row in ((plant.state, 0), (plant.best, 2)):
            evaluate(a, state, due, value)
            assert tuple(value) == tuple(plant.value[row])
            assert state.placed.all()
            for row_of_slot in slots(state):
                for one, other in pairwise(row_of_slot):
                    assert one[1] <= other[0]
    assert tuple(plant.value[2]) <= first
