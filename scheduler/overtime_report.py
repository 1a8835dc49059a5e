"""Overtime of a plan in words: opened windows, who works how much, and the caution."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from scheduler.overtime import hours_of, price_of

if TYPE_CHECKING:
    from models.spans import Span
    from scheduler.plan import Overtime, Plan
    from scheduler.problem import OvertimeWindow


@dataclass(frozen=True)
class WindowUse:
    """One opened window: who works there, person-hours, and what they cost."""

    window: OvertimeWindow
    people: tuple[str, ...]
    hours: float
    price: float


@dataclass(frozen=True)
class MostOvertime:
    """The most overtime of one person on a day or in a week, and what is allowed."""

    hours: float
    person: str
    first_day: str  # of the week
    limit: float


def window_uses(plan: Plan) -> list[WindowUse]:
    """Every window that the plan opens, in order of time."""
    rows: dict[str, list[Overtime]] = defaultdict(list)
    for row in plan.answer.overtime:
        rows[row.window].append(row)
    hour = 60 / plan.problem.axis.tick_minutes
    uses = []
    for one in plan.problem.overtime:
        own = [row for row in rows.get(one.id, ()) if row.person is not None]
        if one.id in rows:
            people = tuple(sorted({row.person for row in own if row.person}))
            hours = sum(row.finish - row.start for row in own) / hour
            uses.append(WindowUse(one, people, hours, price_of(plan.problem, own)))
    return uses


def most_overtime(plan: Plan) -> tuple[MostOvertime, MostOvertime] | None:
    """The most overtime of anybody on a day and in a week; None where there is none."""
    spans: dict[str, list[Span]] = defaultdict(list)
    for row in plan.answer.overtime:
        if row.person is not None:
            spans[row.person].append((row.start, row.finish))
    limits = {one.person: one for one in plan.problem.overtime_limits}
    days, weeks = [], []
    for person, own in sorted(spans.items()):
        by_day, by_week = hours_of(own, plan.problem.axis, plan.problem.week_start)
        limit = limits[person]
        days += [
            MostOvertime(hours, person, day, limit.hours_per_day)
            for day, hours in by_day.items()
        ]
        weeks += [
            MostOvertime(hours, person, week, limit.hours_per_week)
            for week, hours in by_week.items()
        ]
    if not days:
        return None

    def first_of_most(rows: list[MostOvertime]) -> MostOvertime:
        return min(rows, key=lambda one: (-one.hours, one.first_day, one.person))

    return first_of_most(days), first_of_most(weeks)
