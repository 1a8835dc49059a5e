"""Overtime: a problem with some of its windows open, and what is worked in them.

Which windows are open is a decision about the whole yard. A problem with a set of them
open is one like any other: crewed work has a calendar with the windows in it, and the
people of the windows are there. So neither decoder nor constraint model knows of
overtime, and a problem without windows is not touched.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING

from models.spans import Span, clip, merge
from scheduler.plan import Overtime, Plan, Planned
from scheduler.service_work import as_planned

if TYPE_CHECKING:
    from models.axis import Axis
    from scheduler.problem import OvertimeWindow, Problem, Service

WITH = "/overtime"  # no id in a file of the yard holds a stroke


def may_open(problem: Problem) -> tuple[OvertimeWindow, ...]:
    """The windows about which a plan has a choice."""
    return tuple(one for one in problem.overtime if one.standing is None)


def without_choice(problem: Problem) -> Problem:
    """The problem with every window closed in which no work stands."""
    windows = tuple(
        one if one.standing else replace(one, standing="closed")
        for one in problem.overtime
    )
    return replace(problem, overtime=windows) if windows else problem


def stands_open(problem: Problem) -> frozenset[str]:
    """The windows in which work of a committed plan stands."""
    return frozenset(one.id for one in problem.overtime if one.standing == "opened")


def with_opened(problem: Problem, opened: Collection[str]) -> Problem:
    """The problem with some windows open, as a problem of regular time alone.

    Its windows stay listed, so that what is worked in them can be told.
    """
    windows = [one for one in problem.overtime if one.id in opened]
    if not windows:
        return problem
    spans: dict[str, list[Span]] = defaultdict(list)
    for one in windows:
        spans[one.calendar].append(one.window)
    longer = [
        replace(one, id=one.id + WITH, open=merge((*one.open, *spans[one.id])))
        for one in problem.calendars
        if one.id in spans
    ]
    operations = tuple(
        replace(one, calendar=one.calendar + WITH)
        if one.skill is not None and one.calendar in spans
        else one
        for one in problem.operations
    )
    granted = _granted(problem, windows)
    people = tuple(
        replace(one, available=merge((*one.available, *granted[one.id])))
        if one.id in granted
        else one
        for one in problem.people
    )
    return replace(
        problem,
        calendars=(*problem.calendars, *longer),
        operations=operations,
        people=people,
    )


def _granted(
    problem: Problem, windows: Sequence[OvertimeWindow]
) -> dict[str, list[Span]]:
    """Who is asked for which windows, so that nobody can come to more than the limits.

    Whole windows are granted, those that stand first, then in order of time, while the
    hours of all that a person was granted stay within the limits.
    """
    axis = problem.axis
    limits = {one.person: one for one in problem.overtime_limits}
    granted: dict[str, list[Span]] = defaultdict(list)
    for one in sorted(windows, key=lambda row: (row.standing is None, row.window)):
        for person in one.people:
            limit = limits.get(person)
            if limit is None:
                continue
            spans = [*granted[person], one.window]
            days, weeks = hours_of(spans, axis, problem.week_start)
            if (
                max(days.values()) <= limit.hours_per_day
                and max(weeks.values()) <= limit.hours_per_week
            ):
                granted[person] = spans
    return {person: spans for person, spans in granted.items() if spans}


def hours_of(
    spans: Iterable[Span], axis: Axis, week_start: int
) -> tuple[dict[str, float], dict[str, float]]:
    """Hours by local day, and by week (named by its first day)."""
    days: dict[str, int] = defaultdict(int)
    weeks: dict[str, int] = defaultdict(int)
    for start, end in spans:
        at = start
        while at < end:
            day = axis.local(at).date()
            until = min(end, max(axis.day_start(day + timedelta(days=1)), at + 1))
            monday = day - timedelta(days=(day.isoweekday() - week_start) % 7)
            days[day.isoformat()] += until - at
            weeks[monday.isoformat()] += until - at
            at = until
    hour = 60 / axis.tick_minutes
    return (
        {key: ticks / hour for key, ticks in days.items()},
        {key: ticks / hour for key, ticks in weeks.items()},
    )


def worked_overtime(
    problem: Problem, operations: Sequence[Planned], services: Sequence[Service] = ()
) -> tuple[Overtime, ...]:
    """Who works from when to when in which window, in order of windows and people.

    On services of molds as well, if a window lies in open time of their calendar.
    """
    operations = [*operations, *(row for _, row in as_planned(problem, services))]
    asked = {one.id: frozenset(one.people) for one in problem.overtime}
    crewed = {one.id: one.calendar for one in problem.operations if one.skill}
    rows: list[Overtime] = []
    for window in problem.overtime:
        first, last = window.window
        worked: dict[str, list[Span]] = defaultdict(list)
        is_open = False
        for one in operations:
            if one.finish <= first or one.start >= last:
                continue
            if crewed.get(one.operation) == window.calendar:
                is_open |= any(clip(one.segments, first, last))
            for stint in one.people:
                if stint.person in asked[window.id]:
                    inside = max(stint.start, first), min(stint.finish, last)
                    worked[stint.person] += clip(one.segments, *inside)
        own = [
            Overtime(window.id, person, start, finish)
            for person in sorted(worked)
            for start, finish in merge(worked[person])
        ]
        if is_open and not own:
            own = [Overtime(window.id, None, first, last)]
        rows += own
    return tuple(rows)


def price_of(problem: Problem, rows: Iterable[Overtime]) -> float:
    """Hours worked in windows, each at the price of its window."""
    price = {one.id: one.price_per_hour for one in problem.overtime}
    paid = (row for row in rows if row.person is not None)
    ticks = sum((row.finish - row.start) * price[row.window] for row in paid)
    return ticks * problem.axis.tick_minutes / 60


def as_worked(plan: Plan) -> Plan:
    """A plan of regular time alone: its problem has the windows open that it opens.

    For questions to a plan about when work could be; not for its file.
    """
    problem = plan.problem
    if any(one.id.endswith(WITH) for one in problem.calendars):
        return plan
    opened = {row.window for row in plan.answer.overtime}
    return replace(plan, problem=with_opened(problem, opened)) if opened else plan
