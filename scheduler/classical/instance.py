"""Projects of activities on shared resources: the classical form of the problem.

Time is in whole units, whatever they stand for. A job of a job shop is a project whose
activities follow one another, each alone on its machine.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from models.errors import UsageError

END = "end"
"""What follows everything; no project can have this name."""


@dataclass(frozen=True, slots=True)
class Activity:
    """Work of so many time units that takes amounts of resources while it runs.

    `followers` are the activities of the same project, by their place in it from 0,
    that start no sooner than this one ends.
    """

    duration: int
    demands: tuple[tuple[str, int], ...] = ()  # resource, amount
    followers: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Project:
    """Activities that are wanted together.

    No activity starts before `release`. `due` is the latest finish that is not late;
    None cannot be late. `weight` counts for goals over several projects.
    """

    name: str
    activities: tuple[Activity, ...]
    release: int = 0
    due: int | None = None
    weight: int = 1


@dataclass(frozen=True, slots=True)
class Instance:
    """Resources with their capacities, and the projects that share them."""

    capacities: tuple[tuple[str, int], ...]
    projects: tuple[Project, ...]


@dataclass(frozen=True, slots=True)
class Flaw:
    """Something that no plan could respect; places in a project count from 0."""

    project: int
    activity: int | None
    found: str
    expected: str


def job(
    name: str,
    steps: Sequence[tuple[str, int]],
    *,
    release: int = 0,
    due: int | None = None,
    weight: int = 1,
) -> Project:
    """A job of a job shop or flow shop: machine and time, step after step."""
    last = len(steps) - 1
    activities = tuple(
        Activity(time, ((machine, 1),), () if step == last else (step + 1,))
        for step, (machine, time) in enumerate(steps)
    )
    return Project(name, activities, release, due, weight)


def job_shop(jobs: Sequence[Project]) -> Instance:
    """Jobs on the machines that they name, each machine there once."""
    machines = {
        machine
        for one in jobs
        for activity in one.activities
        for machine, _ in activity.demands
    }
    return Instance(tuple((name, 1) for name in sorted(machines)), tuple(jobs))


def in_order(project: Project) -> list[int]:
    """Places of a project's activities so that followers come later.

    Raises
    ------
    UsageError
        If activities follow each other in a circle.
    """
    ordered = _ordered(project)
    if len(ordered) < len(project.activities):
        raise UsageError(f"project {project.name}: activities follow in a circle")
    return ordered


def _ordered(project: Project) -> list[int]:
    """As `in_order`; without those on or behind a circle."""
    waiting = [0] * len(project.activities)
    for one in project.activities:
        for after in one.followers:
            waiting[after] += 1
    ready = [place for place, count in enumerate(waiting) if count == 0]
    ordered: list[int] = []
    while ready:
        place = ready.pop(0)
        ordered.append(place)
        for after in project.activities[place].followers:
            waiting[after] -= 1
            if waiting[after] == 0:
                ready.append(after)
    return ordered


def flaws(instance: Instance) -> Iterator[Flaw]:
    """Everything that makes an instance impossible or meaningless."""
    capacities = dict(instance.capacities)
    names: set[str] = set()
    for number, project in enumerate(instance.projects):
        if project.name in {"", END} | names:
            expected = "a name that is free, and not nothing"
            yield Flaw(number, None, f"the name '{project.name}'", expected)
        if not project.activities:
            yield Flaw(number, None, "no activities", "at least one")
        names.add(project.name)
        count, sound = len(project.activities), True
        if min(project.release, project.weight, project.due or 0) < 0:
            found = f"release {project.release}, weight {project.weight}"
            found += "" if project.due is None else f", due {project.due}"
            yield Flaw(number, None, found, "none of them below 0")
        for place, one in enumerate(project.activities):
            if one.duration < 0:
                yield Flaw(number, place, f"a duration of {one.duration}", "0 or more")
            for after in one.followers:
                if not 0 <= after < count or after == place:
                    sound = False
                    found = f"activity {after + 1} as a follower"
                    yield Flaw(number, place, found, f"another one of 1 to {count}")
            yield from _demand_flaws(number, place, one, capacities)
        if sound and len(_ordered(project)) < count:
            stuck = min(set(range(count)) - set(_ordered(project)))
            found = "activities that follow each other in a circle"
            yield Flaw(number, stuck, found, "followers that lead to an end")


def _demand_flaws(
    project: int, place: int, activity: Activity, capacities: dict[str, int]
) -> Iterator[Flaw]:
    for name, amount in activity.demands:
        if name not in capacities:
            expected = "a resource of the instance"
            yield Flaw(project, place, f"a demand of {name}", expected)
        elif not 0 <= amount <= capacities[name]:
            found = f"a demand of {amount} of resource {name}"
            yield Flaw(project, place, found, f"0 to {capacities[name]}, its capacity")
