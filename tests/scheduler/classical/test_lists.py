"""The search over lists: every list keeps the order of activities; plans get better."""

from __future__ import annotations

from pathlib import Path

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
from scheduler.classical.reading import read_instance
from scheduler.classical.searching import first_plan
from scheduler.compiling.compile import compile_problem
from scheduler.searching.search import Budget
from tests.scheduler.classical.small_instances import (
    project_makespan,
    random_project,
    random_shop,
)
from tests.scheduler.sound_plans import violations

DATA = Path(__file__).resolve().parents[2] / "outside/data"


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


@pytest.mark.parametrize("seed", range(10))
def test_small_projects_end_at_the_best_makespan(seed: int) -> None:
    """On up to six activities a few hundred schedules find the best one."""
    instance = random_project(seed)
    compilation = compile_problem(problem_of(instance))
    budget = Budget(None, 300)
    plan, done = search_lists(instance, compilation, "makespan", budget, 0, seed)
    assert plan.values[0] == project_makespan(instance)
    assert done == 300
    assert violations(compilation, plan) == []


def test_more_schedules_are_never_worse_than_the_first_plan() -> None:
    """For every goal the plan is at least as good as that of the order given."""
    for goal in ("makespan", "completion", "tardiness"):
        for seed in range(5):
            instance = random_shop(seed, jobs=5, machines=4)
            compilation = compile_problem(problem_of(instance, goal))
            plan, done = search_lists(
                instance, compilation, goal, Budget(None, 100), 0, seed
            )
            assert plan.values[0] <= first_plan(compilation).values[0]
            assert done <= 100


@pytest.mark.parametrize(
    ("name", "best"), [("j30_1_1", 43), ("j30_5_1", 53), ("j30_45_1", 82)]
)
def test_benchmark_projects_come_near_their_best(name: str, best: int) -> None:
    """1,000 schedules end within 3 % of the published optimum, and not below it."""
    instance = read_instance(DATA / f"{name}.rcp")
    compilation = compile_problem(problem_of(instance))
    plan, _ = search_lists(
        instance, compilation, "makespan", Budget(None, 1000), best, 0
    )
    assert best <= plan.values[0] <= 1.03 * best
