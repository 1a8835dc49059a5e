"""What is on the sheet of one crew for one day."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from models.spans import clip
from scheduler.sheets.releases import Release, Resting, releases_of, resting
from scheduler.sheets.upkeep import Upkeep, upkeep_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from datetime import date

    from scheduler.plan import Planned
    from scheduler.problem import Span
    from scheduler.sheets.floor import Floor


@dataclass(frozen=True, slots=True)
class Presence:
    """One person on a step of the day, from and to which tick.

    `standing` is lead or apprentice where a crew has apprentices, else empty.
    """

    person: str
    start: int
    finish: int
    standing: str = ""


@dataclass(frozen=True, slots=True)
class Step:
    """One step as far as it is worked on the day; instants are ticks.

    `day_hours` and `planned_hours` are labor-hours of the day and of the whole step, as
    planned: in whole ticks of a whole crew, so that they may exceed `standard_hours`,
    which are not rounded. What of a begun step was worked before the plan is in neither
    of them. `releases` are given where the step begins that day.
    """

    number: int
    operation: str
    begins: int
    ends: int
    start: int
    finish: int
    day_hours: float
    planned_hours: float
    standard_hours: float
    crew: int
    people: tuple[Presence, ...]
    releases: tuple[Release, ...]


@dataclass(frozen=True, slots=True)
class Closed:
    """A mold or place that nobody may use, and until which tick."""

    resource: str
    why: str
    until: int


@dataclass(frozen=True, slots=True)
class CrewSheet:
    """Everything that a crew does on a day and must leave alone."""

    crew: str
    day: date
    steps: tuple[Step, ...]
    resting: tuple[Resting, ...]
    closed: tuple[Closed, ...]
    upkeep: tuple[Upkeep, ...] = ()  # numbered behind the steps
    on_upkeep: tuple[tuple[Presence, ...], ...] = ()

    @property
    def day_hours(self) -> float:
        """Labor-hours of the day."""
        of_steps = sum(one.day_hours for one in self.steps)
        return of_steps + sum(one.day_hours for one in self.upkeep)

    @property
    def numbered_upkeep(self) -> tuple[tuple[int, Upkeep, tuple[Presence, ...]], ...]:
        """Each service with its number on the sheet and who is on it."""
        first = len(self.steps) + 1
        rows = zip(self.upkeep, self.on_upkeep, strict=True)
        return tuple((k, one, crew) for k, (one, crew) in enumerate(rows, first))

    @property
    def people(self) -> dict[str, tuple[tuple[int, Presence], ...]]:
        """Where each person is, in order of time, by name and never by hours."""
        found: dict[str, list[tuple[int, Presence]]] = defaultdict(list)
        for step in self.steps:
            for one in step.people:
                found[one.person].append((step.number, one))
        for number, _, crew in self.numbered_upkeep:
            for one in crew:
                found[one.person].append((number, one))
        return {
            person: tuple(sorted(found[person], key=lambda pair: pair[1].start))
            for person in sorted(found)
        }


def crew_sheet(floor: Floor, crew: str, day: date) -> CrewSheet:
    """Lay out the sheet of one crew; it has no steps where none are planned."""
    during = floor.day(day)
    rows = [
        row
        for row in floor.planned.values()
        if floor.crew(row.operation) == crew and worked(row, during) is not None
    ]
    rows.sort(key=lambda row: (clip_start(row, during), row.operation))
    upkeep = tuple(upkeep_of(floor, crew, during))
    return CrewSheet(
        crew=crew,
        day=day,
        steps=tuple(_step(floor, k, row, during) for k, row in enumerate(rows, 1)),
        resting=tuple(
            one for one in resting(floor, during) if crew in _concerned(floor, one)
        ),
        closed=tuple(_closed(floor, during)),
        upkeep=upkeep,
        on_upkeep=tuple(tuple(_presences(one.row, during)) for one in upkeep),
    )


def worked(row: Planned, during: Span) -> Span | None:
    """From when to when a step is worked in a span; None if it is not.

    A step of no length is worked at its instant. A done one has no work left.
    """
    if row.start == row.finish and not row.segments:
        inside = during[0] <= row.start < during[1]
        return (row.start, row.finish) if inside else None
    spans = clip(row.segments, *during)
    return (spans[0][0], spans[-1][1]) if spans else None


def clip_start(row: Planned, during: Span) -> int:
    """When a step that is worked in a span begins there."""
    span = worked(row, during)
    return during[1] if span is None else span[0]


def _step(floor: Floor, number: int, row: Planned, during: Span) -> Step:
    span = worked(row, during) or during
    hours = floor.plan.problem.axis.tick_minutes / 60
    ticks = sum(end - start for start, end in clip(row.segments, *during))
    all_ticks = sum(end - start for start, end in row.segments)
    begins_here = row.start >= during[0]
    return Step(
        number=number,
        operation=row.operation,
        begins=span[0],
        ends=span[1],
        start=row.start,
        finish=row.finish,
        day_hours=ticks * row.crew * hours,
        planned_hours=all_ticks * row.crew * hours,
        standard_hours=floor.operations[row.operation].labor_hours,
        crew=row.crew,
        people=tuple(_with_standing(floor, row.operation, _presences(row, during))),
        releases=releases_of(floor, row.operation) if begins_here else (),
    )


def _presences(row: Planned, during: Span) -> Iterator[Presence]:
    """Who is on a step in a span: stints that follow upon each other are one."""
    work = clip(row.segments, *during)
    for person in dict.fromkeys(one.person for one in row.people):
        spans = [
            (span[0], span[1])
            for stint in row.people
            if stint.person == person
            for span in clip(work, stint.start, stint.finish)
        ]
        found: list[Span] = []
        for start, finish in sorted(spans):
            # Nobody works between: a break, in which the person does not change.
            joins = found and not clip(work, found[-1][1], start)
            begin = found.pop()[0] if joins else start
            found.append((begin, finish))
        for start, finish in found:
            yield Presence(person, start, finish)


def _with_standing(
    floor: Floor, operation: str, crew: Iterable[Presence]
) -> Iterator[Presence]:
    """Say who leads and who is an apprentice, where there are any on a step."""
    skill, crew = floor.operations[operation].skill, list(crew)
    apprentices = {
        one.id for one in floor.plan.problem.people if skill in one.apprentice_in
    }
    learning = apprentices & {one.person for one in crew}
    for one in crew:
        standing = "apprentice" if one.person in learning else "lead"
        yield replace(one, standing=standing) if learning else one


def _concerned(floor: Floor, one: Resting) -> set[str]:
    """Crews that made what rests, or that go on with it."""
    return {floor.crew(name) for name in (one.before, *one.next_steps)}


def _closed(floor: Floor, during: Span) -> Iterator[Closed]:
    """Molds and places that are out of use for some of a span."""
    problem = floor.plan.problem
    outages = {one.id: one.unavailable for one in problem.molds}
    outages |= {one.id: one.unavailable for one in problem.places}
    for resource, spans in outages.items():
        for start, finish in spans:
            if start < during[1] and during[0] < finish:
                yield Closed(resource, "out of use", finish)
    for service in floor.plan.answer.services:
        if service.start < during[1] and during[0] < service.finish:
            yield Closed(service.mold, "in service", service.finish)
