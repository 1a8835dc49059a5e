"""What no plan can beat, from resources: work over capacity, between heads and tails.

`scheduler.bounds` knows the longest chain of each order; this adds the resources.
"""

from __future__ import annotations

from scheduler.classical.instance import Instance, Project, in_order

Span = tuple[int, int]


def makespan_bound(instance: Instance) -> int:
    """A makespan that no plan can beat, in time units.

    For each resource, over the activities that use it: the earliest start, the work
    (duration times amount) over the capacity rounded up, and the least time that must
    follow. For one machine it is the bound of any textbook on job shops.
    """
    users: dict[str, list[tuple[int, int, int]]] = {}
    longest = 0
    for project in instance.projects:
        for activity, (head, tail) in zip(
            project.activities, heads_and_tails(project), strict=True
        ):
            longest = max(longest, head + activity.duration + tail)
            for name, amount in activity.demands:
                if amount and activity.duration:
                    work = amount * activity.duration
                    users.setdefault(name, []).append((head, work, tail))
    capacities = dict(instance.capacities)
    bounds = [longest]
    for name, rows in users.items():
        work = -(-sum(row[1] for row in rows) // capacities[name])
        bounds.append(min(r[0] for r in rows) + work + min(r[2] for r in rows))
    return max(bounds)


def heads_and_tails(project: Project) -> list[Span]:
    """Earliest start, and longest chain after the end, of each activity."""
    activities = project.activities
    head = [project.release] * len(activities)
    tail = [0] * len(activities)
    ordered = in_order(project)
    for place in ordered:
        for after in activities[place].followers:
            head[after] = max(head[after], head[place] + activities[place].duration)
    for place in reversed(ordered):
        for after in activities[place].followers:
            tail[place] = max(tail[place], activities[after].duration + tail[after])
    return list(zip(head, tail, strict=True))
