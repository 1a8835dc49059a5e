"""Small instances drawn at random, and their makespans by trying every list."""

from __future__ import annotations

from itertools import permutations
from random import Random

from scheduler.classical.instance import Activity, Instance, Project, job, job_shop


def random_project(seed: int, most: int = 6) -> Instance:
    """A project of at most so many activities on two resources."""
    random = Random(seed)
    count = random.randint(2, most)
    activities = tuple(
        Activity(
            random.randint(0, 5),
            tuple((name, random.randint(0, 3)) for name in ("R1", "R2")),
            tuple(n for n in range(place + 1, count) if random.random() < 0.3),
        )
        for place in range(count)
    )
    return Instance((("R1", 3), ("R2", 4)), (Project("P", activities),))


def random_shop(seed: int, jobs: int = 3, machines: int = 3) -> Instance:
    """A job shop with a due date and a weight for every job."""
    random = Random(seed)
    made = []
    for number in range(1, jobs + 1):
        order = random.sample(range(machines), machines)
        steps = [(f"M{machine}", random.randint(1, 6)) for machine in order]
        due = random.randint(3, 20)
        made.append(
            job(
                f"J{number}",
                steps,
                release=random.choice((0, 0, 2)),
                due=due,
                weight=random.randint(1, 4),
            )
        )
    return job_shop(made)


def project_makespan(instance: Instance) -> int:
    """The least makespan of one project: every list, each activity as early as it goes.

    Some list gives a best plan (that is a known theorem on active schedules).
    """
    activities = instance.projects[0].activities
    capacities = dict(instance.capacities)
    before = [
        [n for n, one in enumerate(activities) if place in one.followers]
        for place in range(len(activities))
    ]
    best = sum(one.duration for one in activities)
    for order in permutations(range(len(activities))):
        if all(order.index(n) < order.index(k) for k in order for n in before[k]):
            best = min(best, _serial(activities, capacities, before, order))
    return best


def _serial(
    activities: tuple[Activity, ...],
    capacities: dict[str, int],
    before: list[list[int]],
    order: tuple[int, ...],
) -> int:
    used: dict[tuple[str, int], int] = {}
    finish: dict[int, int] = {}
    for place in order:
        one = activities[place]
        start = max((finish[n] for n in before[place]), default=0)
        while any(
            used.get((name, t), 0) + amount > capacities[name]
            for name, amount in one.demands
            for t in range(start, start + one.duration)
        ):
            start += 1
        for name, amount in one.demands:
            for t in range(start, start + one.duration):
                used[name, t] = used.get((name, t), 0) + amount
        finish[place] = start + one.duration
    return max(finish.values())
