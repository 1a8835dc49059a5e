"""Instances: jobs, order of activities, and what makes one impossible."""

from __future__ import annotations

import pytest

from models.errors import UsageError
from scheduler.classical.instance import (
    Activity,
    Instance,
    Project,
    flaws,
    in_order,
    job,
    job_shop,
)


def told(*projects: Project) -> list[tuple[int, int | None, str]]:
    """What is wrong with projects that share two of one resource."""
    found = flaws(Instance((("R1", 2),), projects))
    return [(one.project, one.activity, one.found) for one in found]


def test_a_job_is_a_chain() -> None:
    """Each step of a job has one machine and is followed by the next one."""
    made = job("J1", [("saw", 3), ("bench", 0), ("saw", 2)], due=9)
    assert [one.duration for one in made.activities] == [3, 0, 2]
    assert [one.followers for one in made.activities] == [(1,), (2,), ()]
    assert job_shop([made]).capacities == (("bench", 1), ("saw", 1))
    assert made.due == 9


def test_followers_come_later() -> None:
    """Activities are put in an order in which followers come after what they follow."""
    backwards = Project(
        "P", (Activity(1), Activity(1, (), (0,)), Activity(1, (), (1,)))
    )
    assert in_order(backwards) == [2, 1, 0]


def test_a_circle_has_no_order() -> None:
    """Activities that follow each other in a circle are refused by name."""
    circle = Project("P", (Activity(1, (), (1,)), Activity(1, (), (0,))))
    with pytest.raises(UsageError, match="P: activities follow in a circle"):
        in_order(circle)
    assert told(circle) == [(0, 0, "activities that follow each other in a circle")]


def test_every_flaw_is_found() -> None:
    """All that is impossible is told at once, with its place."""
    sound = Project("A", (Activity(1, (("R1", 2),)),))
    assert told(sound) == []
    assert told(sound, sound) == [(1, None, "the name 'A'")]
    assert told(Project("end", ())) == [
        (0, None, "the name 'end'"),
        (0, None, "no activities"),
    ]
    broken = Project(
        "B",
        (
            Activity(-1, (("R1", 3), ("R2", 1))),
            Activity(1, (), (1, 7)),
        ),
        release=-2,
        due=-1,
    )
    assert told(broken) == [
        (0, None, "release -2, weight 1, due -1"),
        (0, 0, "a duration of -1"),
        (0, 0, "a demand of 3 of resource R1"),
        (0, 0, "a demand of R2"),
        (0, 1, "activity 2 as a follower"),
        (0, 1, "activity 8 as a follower"),
    ]
