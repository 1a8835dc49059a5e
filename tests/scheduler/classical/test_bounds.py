"""The resource bound never exceeds a proven makespan."""

from __future__ import annotations

from scheduler.classical.bounds import makespan_bound
from scheduler.classical.instance import Activity, Instance, Project, job, job_shop
from tests.scheduler.classical.small_instances import project_makespan, random_project


def test_it_never_exceeds_the_best_makespan() -> None:
    """On projects that can be tried out, the bound is at most the best; often it."""
    reached = 0
    for seed in range(200):
        instance = random_project(seed, most=5)
        best = project_makespan(instance)
        assert makespan_bound(instance) <= best, seed
        reached += makespan_bound(instance) == best
    assert reached > 100


def test_a_machine_is_bound_by_its_load_between_head_and_tail() -> None:
    """Two jobs that need the saw for 4 each after 1 and before 2: 1 + 8 + 2."""
    steps = [("plane", 1), ("saw", 4), ("drill", 2)]
    assert makespan_bound(job_shop([job("A", steps), job("B", steps)])) == 11


def test_a_resource_is_bound_by_its_work() -> None:
    """Three activities of 2 units x 3 on a capacity of 4 take at least 5."""
    three = tuple(Activity(3, (("R", 2),)) for _ in range(3))
    assert makespan_bound(Instance((("R", 4),), (Project("P", three),))) == 5
    assert makespan_bound(Instance((("R", 4),), (Project("P", three, 7),))) == 12
