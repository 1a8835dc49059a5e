"""Which totals of weighted late days there can be."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.compiling.arrays import BY_LAST_FINISH
from scheduler.compiling.compile import compile_problem
from scheduler.late_totals import next_bound, next_total, open_weights
from tests.scheduler.planned import settled
from tests.scheduler.random_problems import random_problem

MOST = 30


@given(st.lists(st.integers(0, 6), min_size=1, max_size=3), st.integers(-3, MOST))
def test_the_next_total_is_the_first_that_days_add_up_to(
    weights: list[int], least: int
) -> None:
    """Against all numbers of days of each boat."""
    every = {
        sum(weight * days for weight, days in zip(weights, own, strict=True))
        for own in product(range(MOST + 7), repeat=len(weights))
    }
    expected = min((total for total in every if total >= least), default=least)
    assert next_total(weights, least) == expected


@pytest.mark.parametrize(
    ("weights", "least", "total"),
    [
        ([3, 3], 76, 78),
        ([4, 6], 2, 4),
        ([4, 6], 63, 64),
        ([5, 7], 23, 24),
        ([5, 7], 1001, 1001),
        ([3, 1], 76, 76),
    ],
)
def test_steps(weights: list[int], least: int, total: int) -> None:
    """Small totals have gaps, all from some on are multiples of the common divisor."""
    assert next_total(weights, least) == total


def test_the_value_of_a_plan_is_a_total() -> None:
    """No plan's value lies in a gap, whatever of it is a fact."""
    late = 0
    for seed in range(60):
        problem = random_problem(seed, facts=seed % 2 == 0)
        orders = tuple(
            replace(one, weight=2 + one.weight % 2 * 3) for one in problem.orders
        )
        compilation = compile_problem(replace(problem, orders=orders))
        plan = settled(compilation, 0)
        if plan is not None:
            value = plan.solution.values[0]
            assert next_bound(compilation.arrays, value) == value
            late += value > 0
    assert late >= 15


def test_boats_that_stand_count_with_their_late_days() -> None:
    """Only the open ones go in steps; the last finish does not at all."""
    a = compile_problem(random_problem(3, 2, 3)).arrays
    a = replace(
        a,
        boat_weight=np.full_like(a.boat_weight, 3),
        boat_due=np.zeros_like(a.boat_due),
        boat_fixed=np.array([0, 1], np.int8),
    )
    assert open_weights(a) == [3]
    assert open_weights(a, [1]) == []
    known = next_bound(a, 0)  # of the one that stands
    assert known > 0
    assert next_bound(a, known + 4) == known + 6
    assert next_bound(replace(a, goal=BY_LAST_FINISH), known + 4) == known + 4
