"""Solving an instance: value, bound and status, and the search of schedules."""

from __future__ import annotations

from itertools import pairwise
from typing import get_args

import pytest

from scheduler.classical.instance import Activity, Instance, Project
from scheduler.classical.problem_of import Between, Goal
from scheduler.classical.solve import Effort, solve_instance
from tests.scheduler.classical.small_instances import (
    project_makespan,
    random_project,
    random_shop,
)

BRIEF = Effort(seconds=20.0, schedules=200, workers=1)


def test_several_projects_with_due_dates_and_weights() -> None:
    """The example of the module's text: the deck waits for the crane, one unit late."""
    hull = Project("hull", (Activity(3, (("crane", 1),), (1,)), Activity(2)), due=5)
    deck = Project("deck", (Activity(4, (("crane", 1),)),), release=1, weight=2, due=6)
    shop = Instance((("crane", 1),), (hull, deck))
    result = solve_instance(shop, "tardiness", effort=BRIEF)
    assert (result.value, result.bound, result.status) == (2, 2, "proven")
    assert result.starts == {"hull": (0, 3), "deck": (3,)}
    assert solve_instance(shop, "makespan", effort=BRIEF).value == 7
    assert solve_instance(shop, "completion", effort=BRIEF).value == 5 + 2 * 7


@pytest.mark.parametrize("seed", range(10))
def test_small_projects_are_proven(seed: int) -> None:
    """The value is that of trying every list, and it is proven."""
    instance = random_project(seed)
    result = solve_instance(instance, effort=BRIEF)
    assert result.status == "proven"
    assert result.value == project_makespan(instance)


@pytest.mark.parametrize("between", get_args(Between))
@pytest.mark.parametrize("goal", get_args(Goal))
def test_the_value_is_that_of_the_starts(goal: Goal, between: Between) -> None:
    """Starts give the value, with machines and releases kept."""
    for seed in range(3):
        instance = random_shop(seed)
        result = solve_instance(instance, goal, between, effort=BRIEF)
        assert result.status == "proven"
        ends = {}
        taken = []
        for project in instance.projects:
            starts = result.starts[project.name]
            steps = project.activities
            ends[project.name] = starts[-1] + steps[-1].duration
            assert starts[0] >= project.release
            for place, (start, one) in enumerate(zip(starts, steps, strict=True)):
                until = start + one.duration
                if place + 1 < len(steps):
                    assert starts[place + 1] >= until
                    assert between != "no-wait" or starts[place + 1] == until
                    until = starts[place + 1] if between == "blocking" else until
                taken.append((one.demands[0][0], start, until))
        taken.sort()
        for (one, _, until), (other, start, _) in pairwise(taken):
            assert one != other or until <= start
        value = {
            "makespan": max(ends.values()),
            "completion": sum(p.weight * ends[p.name] for p in instance.projects),
            "tardiness": sum(
                p.weight * max(0, ends[p.name] - (p.due or 0))
                for p in instance.projects
            ),
        }[goal]
        assert result.value == value


def test_schedules_alone_repeat_for_a_seed() -> None:
    """With a number of schedules and no seconds, the plan is the same again."""
    instance = random_shop(3, jobs=6, machines=4)
    effort = Effort(seconds=None, schedules=300, seed=4)
    first, again = (solve_instance(instance, effort=effort) for _ in range(2))
    assert first.starts == again.starts
    assert first.method == "search"
    assert first.bound <= first.value
