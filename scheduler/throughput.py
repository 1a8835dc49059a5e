"""The most boats that a yard could build in a period: a bound, and what sets it.

No plan builds more of a mix than the scarcest resource allows: molds and places by
how many there are and how long one boat holds them, people by the hours of every
group of skills against the hours of everyone who has one of them.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

TIE = 1e-9  # relative; below it two limits are the same


@dataclass(frozen=True, slots=True)
class Room:
    """Molds or places of one kind, and for how long one boat holds one of them."""

    name: str
    count: float
    days_per_boat: float


@dataclass(frozen=True, slots=True)
class Labor:
    """What everyone with at least one of some skills gives, and what a boat takes.

    `hours` are those of the whole period; `hours_per_boat` those of all the skills.
    """

    name: str
    hours: float
    hours_per_boat: float


@dataclass(frozen=True, slots=True)
class Throughput:
    """The bound, the resources that set it (several in a tie), and each one's limit.

    A resource that no boat needs has no limit: `math.inf`.
    """

    bound: float
    limited_by: tuple[str, ...]
    limits: Mapping[str, float]

    @property
    def is_tie(self) -> bool:
        """Whether more than one resource sets the bound."""
        return len(self.limited_by) > 1


def throughput_bound(
    days: float, rooms: Iterable[Room] = (), labor: Iterable[Labor] = ()
) -> Throughput:
    """Bound the boats of a mix that can be built in a period.

    Parameters
    ----------
    days : float
        Length of the period, in the days in which occupations are given.
    rooms : iterable of Room
        Molds and places; `days_per_boat` is the mean over the mix.
    labor : iterable of Labor
        Groups of skills; the hours that people give in the same period.
    """
    limits = {
        one.name: _limit(one.count * days, one.days_per_boat) for one in rooms
    } | {one.name: _limit(one.hours, one.hours_per_boat) for one in labor}
    bound = min(limits.values(), default=math.inf)
    if math.isinf(bound):
        return Throughput(bound, (), limits)
    limited_by = tuple(
        name
        for name, limit in limits.items()
        if math.isclose(limit, bound, rel_tol=TIE)
    )
    return Throughput(bound, limited_by, limits)


def _limit(given: float, per_boat: float) -> float:
    if given < 0 or per_boat < 0:
        raise ValueError(f"neither {given} nor {per_boat} may be below 0")
    return given / per_boat if per_boat > 0 else math.inf


def labor_groups(
    subsets: Iterable[Iterable[str]],
    hours_per_boat: Mapping[str, float],
    people: Iterable[tuple[Iterable[str], float]],
) -> tuple[Labor, ...]:
    """Make the labor of each subset of skills.

    Parameters
    ----------
    subsets : iterable of skills
        The groups to look at, such as the unimplied ones.
    hours_per_boat : mapping
        Hours of each skill that one boat takes.
    people : iterable of (skills, hours)
        What each person can do, and for how many hours in the period.
    """
    given = [(frozenset(skills), hours) for skills, hours in people]
    out = []
    for subset in subsets:
        skills = frozenset(subset)
        out.append(
            Labor(
                name=" + ".join(sorted(skills)),
                hours=math.fsum(hours for able, hours in given if able & skills),
                hours_per_boat=math.fsum(
                    hours_per_boat.get(one, 0.0) for one in skills
                ),
            )
        )
    return tuple(out)
