"""Proven values never get worse when something is relaxed; plans of a list may.

The tasks are those of the published anomalies of list scheduling (CV-76, CV-77), where
four machines instead of three end later. That list takes, whenever a machine is free,
the first task that is ready; the decoder places task after task and is no such list, so
only the optima (CV-78, recomputed) are compared.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from scheduler.classical.instance import Activity, Instance, Project
from scheduler.classical.solve import Effort, solve_instance
from tests.scheduler.classical.small_instances import random_project, random_shop

EFFORT = Effort(seconds=600.0, schedules=300)  # seconds: a stop for what hangs
TIMES = (3, 2, 2, 2, 4, 4, 4, 4, 9)
ARCS = ((1, 9), (4, 5), (4, 6), (4, 7), (4, 8))


def best(instance: Instance) -> int:
    """The proven makespan."""
    result = solve_instance(instance, effort=EFFORT)
    assert result.status == "proven"
    return result.value


def tasks(
    machines: int, less: int = 0, arcs: tuple[tuple[int, int], ...] = ARCS
) -> int:
    """The proven makespan of the nine tasks on machines that are all alike."""
    activities = tuple(
        Activity(
            time - less,
            (("M", 1),),
            tuple(then - 1 for before, then in arcs if before == number),
        )
        for number, time in enumerate(TIMES, start=1)
    )
    return best(Instance((("M", machines),), (Project("P", activities),)))


def test_nine_tasks() -> None:
    """CV-78 (recomputed): 12, 12, 10, 12, and 17 with two machines."""
    assert tasks(3) == 12
    assert tasks(4) == 12
    assert tasks(3, less=1) == 10
    assert tasks(3, arcs=((1, 9), (4, 7), (4, 8))) == 12
    assert tasks(2) == 17


@pytest.mark.parametrize("seed", range(8))
def test_more_room_or_less_work_never_costs(seed: int) -> None:
    """CV-241 (definition): capacity, durations and arcs only ever gain."""
    instance = random_project(seed, most=8)
    value = best(instance)
    (project,) = instance.projects
    room = tuple((name, count + 1) for name, count in instance.capacities)
    assert best(replace(instance, capacities=room)) <= value
    shorter = tuple(
        replace(one, duration=max(0, one.duration - 1)) for one in project.activities
    )
    shorter_project = replace(project, activities=shorter)
    assert best(replace(instance, projects=(shorter_project,))) <= value
    loose = tuple(replace(one, followers=()) for one in project.activities)
    loose_project = replace(project, activities=loose)
    assert best(replace(instance, projects=(loose_project,))) <= value


@pytest.mark.parametrize("seed", range(6))
def test_scaling_scales(seed: int) -> None:
    """CV-242 (definition): all times by three make every best value three times it."""
    instance = random_shop(seed)
    larger = tuple(
        replace(
            job,
            release=3 * job.release,
            due=3 * (job.due or 0),
            activities=tuple(
                replace(one, duration=3 * one.duration) for one in job.activities
            ),
        )
        for job in instance.projects
    )
    scaled = replace(instance, projects=larger)
    for goal in ("makespan", "completion", "tardiness"):
        small = solve_instance(instance, goal, effort=EFFORT)
        large = solve_instance(scaled, goal, effort=EFFORT)
        assert small.status == large.status == "proven"
        assert large.value == 3 * small.value
