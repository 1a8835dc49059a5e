"""The search over lists: every list keeps the order of activities; plans get better."""

from __future__ import annotations

import numpy as np
import pytest

from scheduler.classical.lists import (
    _cross,
    _follows,
    _listed,
    _swap_neighbors,
    search_lists,
)
from scheduler.classical.problem_of import problem_of
from scheduler.classical.searching import first_plan
from scheduler.compiling.compile import compile_problem
from scheduler.searching.search import Budget
from tests.scheduler.classical.small_instances import (
    random_project,
    random_shop,
)


@pytest.mark.parametrize("seed", range(20))
def test_children_keep_the_order_of_activities(seed: int) -> None:
    """Crossing and swapping never puts an activity before one that it follows."""
    a = compile_problem(problem_of(random_project(seed, most=12))).arrays
    follows = _follows(a, np.arange(len(a.boat_of)))
    rng = np.random.default_rng(seed)
    mother, father = (_listed(follows, rng.random(len(follows))) for _ in range(2))
    for _ in range(10):
        child = _cross(mother, father, rng)
        _swap_neighbors(child, follows, rng)
        place = np.argsort(child)
        assert sorted(child) == list(range(len(follows)))
        before, after = np.nonzero(follows)
        assert (place[before] < place[after]).all()
        mother, father = child, mother


def test_more_schedules_are_never_worse_than_the_first_plan() -> None:
    """For every goal the plan is at least as good as that of the order given."""
    for goal in ("makespan", "completion", "tardiness"):
        for seed in range(5):
            instance = random_shop(seed, jobs=5, machines=4)
            compilation = compile_problem(problem_of(instance, goal))
            plan, done = search_lists(compilation, Budget(None, 100), 0, seed)
            assert plan.values[0] <= first_plan(compilation).values[0]
            assert done <= 100
