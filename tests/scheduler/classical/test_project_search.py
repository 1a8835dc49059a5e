"""The search for the least makespan: sound, counted honestly, the same for a seed."""

from __future__ import annotations

from pathlib import Path

import pytest

from scheduler.classical.problem_of import problem_of
from scheduler.classical.project_search import search_makespan, search_projects
from scheduler.classical.reading import read_instance
from scheduler.classical.searching import first_plan
from scheduler.compiling.compile import compile_problem
from scheduler.searching.search import Budget
from tests.scheduler.classical.small_instances import (
    project_makespan,
    random_project,
)
from tests.scheduler.sound_plans import violations

DATA = Path(__file__).resolve().parents[2] / "outside/data"


@pytest.mark.parametrize("seed", range(10))
def test_small_projects_end_at_the_best_makespan(seed: int) -> None:
    """On up to six activities a few hundred schedules find the best one."""
    instance = random_project(seed)
    compilation = compile_problem(problem_of(instance))
    plan, done = search_projects(instance, compilation, Budget(None, 300), 0, seed)
    assert plan.values[0] == project_makespan(instance)
    assert done <= 300
    assert violations(compilation, plan) == []


@pytest.mark.parametrize("work", [1, 2, 3, 50, 51, 777])
def test_no_schedule_more_than_asked_for(work: int) -> None:
    """Any number of schedules is kept, and all of it is used where no bound is met."""
    instance = read_instance(DATA / "j30_1_1.rcp")
    found = search_makespan(instance, Budget(None, work), 0, 0)
    assert found.schedules == work
    compilation = compile_problem(problem_of(instance))
    plan, done = search_projects(instance, compilation, Budget(None, work), 0, 0)
    assert plan.values[0] <= first_plan(compilation).values[0]
    assert done <= work
    assert violations(compilation, plan) == []


@pytest.mark.parametrize(
    ("name", "best"), [("j30_1_1", 43), ("j30_5_1", 53), ("j30_45_1", 82)]
)
def test_benchmark_projects_come_near_their_best(name: str, best: int) -> None:
    """1,000 schedules end within 3 % of the published optimum, and not below it."""
    instance = read_instance(DATA / f"{name}.rcp")
    compilation = compile_problem(problem_of(instance))
    plan, _ = search_projects(instance, compilation, Budget(None, 1000), best, 0)
    assert best <= plan.values[0] <= 1.03 * best


@pytest.mark.parametrize("seed", range(5))
def test_the_decoder_keeps_the_makespan_found(seed: int) -> None:
    """The yard's decoder makes of the best schedule a plan that is no longer."""
    instance = read_instance(DATA / "j30_13_1.rcp")
    compilation = compile_problem(problem_of(instance))
    found = search_makespan(instance, Budget(None, 200), 0, seed)
    plan, done = search_projects(instance, compilation, Budget(None, 202), 0, seed)
    assert done == 202
    assert plan.values[0] <= found.makespan


def test_a_seed_gives_the_same_again() -> None:
    """The same seed finds the same schedule; another one looks elsewhere."""
    instance = read_instance(DATA / "j30_13_1.rcp")
    first, again, other = (
        search_makespan(instance, Budget(None, 150), 0, seed) for seed in (5, 5, 6)
    )
    assert first == again
    assert first.start != other.start
