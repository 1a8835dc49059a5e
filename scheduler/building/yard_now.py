"""Whether planned work still fits the people and the yard of today."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from models.spans import Span, clip, subtract
from scheduler.overtime import WITH

if TYPE_CHECKING:
    from scheduler.plan import Planned
    from scheduler.problem import Mold, Operation, Person, Place, Problem


class YardNow:
    """Says why a planned operation does not fit the people and the yard of today."""

    def __init__(self, problem: Problem) -> None:
        self.people = {one.id: one for one in problem.people}
        self.calendars = {one.id: one for one in problem.calendars}
        resources: tuple[Mold | Place, ...] = (*problem.molds, *problem.places)
        self.unavailable = {one.id: one.unavailable for one in resources}

    def objection(self, one: Planned, operation: Operation) -> str | None:
        """Give the cause why an operation cannot stay as planned, if there is one."""
        for resource in (one.mold, one.place):
            if resource is None:
                continue
            if resource not in self.unavailable:
                return f"{resource} is not there any more"
            if any(clip(self.unavailable[resource], one.start, one.finish)):
                return f"{resource} is out of use"
        calendar = self.calendars[operation.calendar]
        if operation.skill is not None:
            calendar = self.calendars.get(calendar.id + WITH, calendar)
        worked = clip(one.segments, operation.earliest, one.finish)
        if operation.one_go and calendar.breaks_relieved:
            worked = tuple(_outside(worked, calendar.breaks))
        if not _covered(worked, calendar.open):
            return f"calendar {calendar.id} has changed"
        for stint in one.people:
            person = self.people.get(stint.person)
            spans = clip(worked, stint.start, stint.finish)
            cause = _away(person, stint.person, operation, spans)
            if cause is not None:
                return cause
        if not all(self._is_led(one, operation, span) for span in worked):
            return f"its crew has too few with the skill {operation.skill} in full"
        return None

    def _is_led(self, one: Planned, operation: Operation, span: Span) -> bool:
        """Whether enough of a crew have its skill in full in a span of its work."""
        crew = {
            stint.person
            for stint in one.people
            if stint.start < span[1] and span[0] < stint.finish
        }
        full = sum(operation.skill in self.people[name].skills for name in crew)
        return full >= max(operation.leads_min, 1 if full < len(crew) else 0)


def _away(
    person: Person | None, name: str, operation: Operation, spans: Iterable[Span]
) -> str | None:
    if person is None:
        return f"{name} does not work here any more"
    if operation.skill not in person.counts_for:
        return f"{name} is not down for {operation.skill}"
    if not _covered(spans, person.available):
        return f"{name} is away"
    return None


def _outside(spans: tuple[Span, ...], breaks: tuple[Span, ...]) -> Iterator[Span]:
    """Take breaks out of spans, looking only at those near each span."""
    for start, end in spans:
        first = max(bisect_right(breaks, (start, start)) - 1, 0)
        last = bisect_right(breaks, (end, end))
        yield from subtract(((start, end),), breaks[first:last])


def _covered(spans: Iterable[Span], by: tuple[Span, ...]) -> bool:
    """Whether every span lies inside one of some merged spans."""
    for start, end in spans:
        index = bisect_right(by, start, key=lambda one: one[0]) - 1
        if index < 0 or end > by[index][1]:
            return False
    return True
