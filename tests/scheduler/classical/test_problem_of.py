"""Classical instances as problems: the checker, the decoder and the model agree."""

from __future__ import annotations

from typing import get_args

import pytest

from models.errors import UsageError
from scheduler.classical.instance import Activity, Instance, Project, job, job_shop
from scheduler.classical.problem_of import Between, Goal, longest_plan, problem_of
from scheduler.classical.searching import first_plan
from scheduler.compiling.compile import compile_problem
from scheduler.cp_model.model import solve
from tests.scheduler.classical.small_instances import (
    project_makespan,
    random_project,
    random_shop,
)
from tests.scheduler.sound_plans import violations

LONG = 60.0


@pytest.mark.parametrize("between", get_args(Between))
@pytest.mark.parametrize("goal", get_args(Goal))
def test_plans_pass_the_checker(goal: Goal, between: Between) -> None:
    """A decoded plan and a proven one keep every rule of a plan file."""
    for seed in range(6):
        compilation = compile_problem(problem_of(random_shop(seed), goal, between))
        plan = first_plan(compilation)
        assert violations(compilation, plan) == []
        best = solve(compilation, hint=None, seconds=LONG, workers=1)
        assert best.proven
        assert best.solution is not None
        assert violations(compilation, best.solution) == []
        assert best.bound == best.solution.values[0] <= plan.values[0]


@pytest.mark.parametrize("seed", range(40))
def test_trying_every_list_gives_the_proven_makespan(seed: int) -> None:
    """On projects of up to six activities the proven makespan is that of all lists."""
    instance = random_project(seed)
    compilation = compile_problem(problem_of(instance))
    best = solve(compilation, hint=None, seconds=LONG, workers=1)
    assert best.proven
    assert best.bound == project_makespan(instance)


def test_what_lies_between_only_ever_costs() -> None:
    """CV-99 (from the definitions): no-wait >= blocking >= free, for every goal."""
    strict = 0
    for seed in range(12):
        for goal in get_args(Goal):
            values = []
            for between in ("no-wait", "blocking", "free"):
                problem = problem_of(random_shop(seed), goal, between)
                best = solve(
                    compile_problem(problem), hint=None, seconds=LONG, workers=1
                )
                assert best.proven
                assert best.bound is not None
                values.append(best.bound)
            assert values[0] >= values[1] >= values[2]
            strict += values[0] > values[1] > values[2]
    assert strict > 3


def test_late_time_counts_to_the_unit() -> None:
    """Finishing at the due time is in time; each unit after it counts its weight."""
    for due, late in ((7, 0), (6, 3), (0, 21), (None, 0), (8, 0), (10**9, 0)):
        alone = job_shop([job("J", [("M", 4), ("N", 3)], due=due, weight=3)])
        for between in get_args(Between):
            compilation = compile_problem(problem_of(alone, "tardiness", between))
            assert first_plan(compilation).values[0] == late


def test_release_is_kept() -> None:
    """Nothing of a project starts before its release."""
    instance = job_shop([job("J", [("M", 4)], release=5)])
    assert longest_plan(instance) == 9
    for between in get_args(Between):
        plan = first_plan(compile_problem(problem_of(instance, "makespan", between)))
        assert plan.start[0] == 5


def test_no_wait_and_blocking_are_for_jobs() -> None:
    """Activities side by side, or on more than one machine, have no such rule."""
    pair = Project("P", (Activity(2, (("M", 1),)), Activity(2, (("M", 1),))))
    wide = Project("P", (Activity(2, (("M", 2),)),))
    for project, room in ((pair, 1), (wide, 2)):
        with pytest.raises(UsageError, match="are for jobs"):
            problem_of(Instance((("M", room),), (project,)), between="blocking")


def test_an_impossible_instance_is_refused_in_one_line() -> None:
    """What no plan can respect is named, with what was found and expected."""
    wide = Instance((("M", 1),), (Project("P", (Activity(2, (("M", 2),)),)),))
    with pytest.raises(UsageError, match=r"P, activity 1: found .* expected 0 to 1"):
        problem_of(wide)


def test_an_instance_that_is_too_long_is_refused() -> None:
    """More time units than an axis holds are told, not run out of memory on."""
    with pytest.raises(UsageError, match="at most 1,000,000"):
        problem_of(job_shop([job("J", [("M", 2_000_000)])]))
