"""Projects of the PSPLIB set of 30 activities and four renewable resources.

Source of instances and optimal makespans: the PSPLIB library (European Journal of
Operational Research 96, 1997); makespans cited from memory in the list of check values
(CV) and recomputed there on the data, critical paths derived.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from scheduler.bounds import alone_bound
from scheduler.classical.problem_of import problem_of
from scheduler.classical.reading import read_instance
from scheduler.classical.solve import Effort, solve_instance
from scheduler.compiling.compile import compile_problem

DATA = Path(__file__).parent / "data"
EFFORT = Effort(seconds=600.0, schedules=2000)  # seconds: a stop for what hangs


def test_the_instance_given_in_full() -> None:
    """CV-100: j30 1_1 as it stands in the list of check values."""
    instance = read_instance(DATA / "j30_1_1.rcp")
    (project,) = instance.projects
    assert instance.capacities == (("R1", 12), ("R2", 13), ("R3", 4), ("R4", 12))
    assert len(project.activities) == 32
    fifth = project.activities[26]  # 27:8[R4x7]>28 in the list
    assert (fifth.duration, fifth.demands, fifth.followers) == (8, (("R4", 7),), (27,))


@pytest.mark.parametrize(
    ("name", "makespan"),
    [
        ("j30_1_1", 43),  # CV-100
        ("j30_5_1", 53),  # CV-101, and so on
        ("j30_9_1", 83),
        ("j30_29_1", 85),
        ("j30_45_1", 82),
        ("j30_13_1", 58),
    ],
)
def test_makespan(name: str, makespan: int) -> None:
    """CV-100, CV-101 (published, recomputed on the data): proven makespans."""
    result = solve_instance(read_instance(DATA / f"{name}.rcp"), effort=EFFORT)
    assert (result.value, result.status) == (makespan, "proven")


def test_critical_path() -> None:
    """CV-102 (derived, recomputed): j30 1_1 takes 38 with resources without limit."""
    instance = read_instance(DATA / "j30_1_1.rcp")
    assert alone_bound(compile_problem(problem_of(instance)).arrays) == 38
    roomy = tuple((name, 1000) for name, _ in instance.capacities)
    result = solve_instance(replace(instance, capacities=roomy), effort=EFFORT)
    assert (result.value, result.status) == (38, "proven")
