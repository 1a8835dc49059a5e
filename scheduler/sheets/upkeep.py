"""Services of molds by people, as they stand on the sheet of a crew and day."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from models.spans import clip
from scheduler.service_work import as_planned

if TYPE_CHECKING:
    from scheduler.plan import Planned
    from scheduler.problem import Span
    from scheduler.sheets.floor import Floor


@dataclass(frozen=True, slots=True)
class Upkeep:
    """The service of a mold as far as it is worked on a day; instants are ticks."""

    mold: str
    row: Planned
    day_hours: float


def upkeep_of(floor: Floor, crew: str, during: Span) -> Iterator[Upkeep]:
    """The services that a crew works on in a span, in order of time.

    They are those of the crew that has most steps of the same skill.
    """
    problem, services = floor.plan.problem, floor.plan.answer.services
    hours = problem.axis.tick_minutes / 60
    found = [
        Upkeep(row.mold or "", row, ticks * row.crew * hours)
        for skill, row in as_planned(problem, services)
        for ticks in [sum(end - start for start, end in clip(row.segments, *during))]
        if ticks and _crew_of(floor, skill) == crew
    ]
    yield from sorted(found, key=lambda one: (one.row.start, one.mold))


def _crew_of(floor: Floor, skill: str) -> str:
    steps = (one.id for one in floor.plan.problem.operations if one.skill == skill)
    counts = Counter(floor.crew(name) for name in steps)
    return max(floor.crews, key=lambda crew: counts[crew])
