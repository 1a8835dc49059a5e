"""Bounds on level 1."""

from __future__ import annotations

import pytest

from scheduler.bounds import alone_bound, earliest_finishes
from scheduler.compiling.compile import compile_problem
from tests.scheduler.planned import settled
from tests.scheduler.random_problems import random_problem


@pytest.mark.parametrize("seed", range(40))
def test_no_plan_is_better_than_the_bound(seed: int) -> None:
    """Each boat alone in an empty yard bounds every plan, boat by boat and in sum."""
    compilation = compile_problem(random_problem(seed, facts=seed % 3 == 0))
    a = compilation.arrays
    soonest = earliest_finishes(a)
    for draw in range(3):
        plan = settled(compilation, draw)
        if plan is None:
            continue
        assert alone_bound(a) <= plan.solution.values[0]
        for boat in range(len(a.boat_due)):
            part = slice(a.boat_at[boat], a.boat_at[boat + 1])
            assert soonest[boat] <= plan.solution.finish[part].max()
