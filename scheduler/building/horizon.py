"""How far ahead a plan has to look: an estimate from the work, meant to be too long.

A planner that finds it too short builds the problem again with a longer one.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from models.boat import RoutingWait
from models.calendars import own_hours
from models.cures import at_coldest
from models.job_orders import work_orders
from models.orders import Book
from models.outside import day_ends_name
from models.yard import TradeCalendar, Yard
from scheduler.building.orders import Known, Template, order_templates

SPARE_DAYS = 60
DAYS_AFTER_DUE = 60
LABOR_SLACK = 2.5  # people are never all of use at once
ROOM_SLACK = 1.5  # nor are molds and places
_WEEK = 7


def estimate_horizon_days(book: Book, known: Known | None = None) -> int:
    """Estimate the days from `as_of` in which a whole book surely can be built.

    The longest of: the last due date and two months; the labor of each skill, and of
    all, against what the people give in a week; the occupations of each kind of mold
    and place one after another; each with room to spare. Rounded up to whole weeks.
    """
    return horizon_days(book, order_templates(book, known))


def horizon_days(book: Book, templates: Mapping[str, Template]) -> int:
    """As `estimate_horizon_days`, from templates at hand."""
    yard = book.yard
    done: dict[str, set[str]] = {}
    for fact in book.in_hand:
        if fact.state == "done":
            done.setdefault(fact.order, set()).add(fact.operation)
    alone: dict[tuple[int, frozenset[str]], _Alone] = {}
    spans: dict[str, _Alone] = {}
    for name, template in templates.items():
        key = id(template), frozenset(done.get(name, ()))
        if key not in alone:
            alone[key] = _alone(template, yard, key[1])
        spans[name] = alone[key]
    longest = max((span.days for span in spans.values()), default=0.0)
    last = max(_dates(book), default=yard.as_of)
    days = max(
        (last - yard.as_of).days + DAYS_AFTER_DUE + 2 * longest,
        LABOR_SLACK * _labor_days(book, templates, spans) + SPARE_DAYS + longest,
        ROOM_SLACK * _room_days(book, templates, spans) + SPARE_DAYS + longest,
    )
    return math.ceil(days / _WEEK) * _WEEK


def _dates(book: Book) -> list[date]:
    """Every date of the book that work may have to wait for or run up to."""
    dates = [
        day
        for order in work_orders(book)
        for day in (order.promised, order.wanted, order.release)
    ]
    dates += [one.confirmed or one.expected for one in book.arrivals]
    dates += [one.start.date() if one.start else None for one in book.locks]
    dates += [last for person in book.yard.people for _, last in person.leave]
    return [day for day in dates if day is not None]


def weekly_hours(calendar: TradeCalendar) -> float:
    """Open hours of an ordinary week of a calendar, breaks taken out."""
    total = 0.0
    for shift in calendar.shifts:
        ends = [(shift.start, shift.end), *shift.breaks]
        minutes = [
            (end.hour * 60 + end.minute or 24 * 60) - start.hour * 60 - start.minute
            for start, end in ends
        ]
        total += len(shift.days) * (minutes[0] - sum(minutes[1:])) / 60
    return total


def _labor_days(
    book: Book, templates: Mapping[str, Template], spans: Mapping[str, _Alone]
) -> float:
    """Days that the labor still to be done takes if everyone works all the time."""
    hours: dict[str, float] = {}
    for name, template in templates.items():
        for step, amount in zip(template.steps, template.hours, strict=True):
            skill = step.step.skill
            if skill is not None and step.code not in spans[name].done:
                hours[skill] = hours.get(skill, 0.0) + amount
    calendars = {one.id: one for one in book.yard.calendars}
    supply = dict.fromkeys(hours, 0.0)
    everyone = 0.0
    for person in book.yard.people:
        useful = [skill for skill in person.counts_for if skill in supply]
        week = weekly_hours(own_hours(person, calendars[person.calendar]))
        everyone += week if useful else 0.0
        for skill in useful:
            supply[skill] += week
    pairs = [(hours[skill], supply[skill]) for skill in hours]
    pairs.append((sum(hours.values()), everyone))
    return max((_WEEK * need / give for need, give in pairs if give > 0), default=0.0)


@dataclass(frozen=True, slots=True)
class _Alone:
    """One order alone in the yard, in calendar days: when each step starts and ends."""

    start: dict[str, float]
    finish: dict[str, float]
    done: frozenset[str]

    @property
    def days(self) -> float:
        return max(self.finish.values(), default=0.0)


def _alone(template: Template, yard: Yard, done: frozenset[str]) -> _Alone:
    """Time what is left of an order with middling crews."""
    week = {one.id: weekly_hours(one) for one in yard.calendars}
    work_days = {
        day_ends_name(one.id): len({day for shift in one.shifts for day in shift.days})
        for one in yard.calendars
    }
    into: dict[str, list[tuple[str, str, float]]] = {}
    for wait in template.waits:
        rest = _least_hours(wait, yard) / 24
        if wait.clock == "work":
            rest *= 5  # about how much longer eight-hour weekdays are than days
        into.setdefault(wait.after, []).append((wait.before, wait.before_of, rest))
    start: dict[str, float] = {}
    finish: dict[str, float] = {}
    for index, routed in enumerate(template.steps):
        step = routed.step
        if step.code in done:
            start[step.code] = finish[step.code] = 0.0
            continue
        hours = step.duration_hours or 0.0
        if step.skill is not None:
            hours = 2 * template.hours[index] / (step.crew_min + step.crew_max)
        begin = 0.0
        for before, of, rest in into.get(step.code, ()):
            begin = max(begin, (start if of == "start" else finish)[before] + rest)
        nights = 1.0 if step.one_go else 0.0  # one that misses today's shift
        start[step.code] = begin
        if step.lead_days is not None:
            days = work_days[template.calendars[index]]
            finish[step.code] = begin + _WEEK * (step.lead_days + 1) / days
            continue
        given = week[template.calendars[index]]
        finish[step.code] = begin + nights + (_WEEK * hours / given if given else 0.0)
    return _Alone(start, finish, done)


def _least_hours(wait: RoutingWait, yard: Yard) -> float:
    """Hours that a wait takes at least, a cure in the coldest shop."""
    activation, reference = wait.activation_kj_per_mol, wait.reference_celsius
    if activation is None or reference is None or yard.temperature is None:
        return wait.min_hours
    sheet, coldest = wait.data_sheet_min_hours or 0.0, yard.temperature.coldest
    return max(wait.min_hours, at_coldest(sheet, coldest, reference, activation))


def _room_days(
    book: Book, templates: Mapping[str, Template], spans: Mapping[str, _Alone]
) -> float:
    """Days that the occupations of one kind of mold or place take one by one."""
    need: dict[tuple[str, ...], float] = {}
    room: dict[tuple[str, ...], int] = {}
    cached: dict[tuple[str, str], tuple[str, ...]] = {}
    for order in work_orders(book):
        template = templates[order.order]
        alone = spans[order.order]
        for part in template.parts:
            for kind, first, last in (
                ("mold " + part.id, part.mold_from, part.mold_to),
                (f"place {part.place_kind}", part.place_from, part.place_to),
            ):
                if (
                    first not in alone.start
                    or last not in alone.finish
                    or last in alone.done
                ):
                    continue
                at = (kind, order.model)
                if at not in cached:
                    cached[at], count = _that_fit(kind, order.model, book.yard)
                    room[cached[at]] = count
                held = alone.finish[last] - alone.start[first]
                need[cached[at]] = need.get(cached[at], 0.0) + max(held, 0.0)
    return max((days / room[ids] for ids, days in need.items() if ids), default=0.0)


def _that_fit(kind: str, model: str, yard: Yard) -> tuple[tuple[str, ...], int]:
    """Give the molds or places that one kind of part of a model can take, and room."""
    what, name = kind.split(" ", 1)
    if what == "mold":
        molds = [m.id for m in yard.molds if m.part == name and model in m.models]
        return tuple(molds), len(molds)
    places = [
        p for p in yard.places if p.kind == name and (not p.models or model in p.models)
    ]
    return tuple(p.id for p in places), sum(p.capacity for p in places)


def end_of_horizon(as_of: date, days: int) -> date:
    """The first Monday at least so many days after a day."""
    end = as_of + timedelta(days=days)
    return end + timedelta(days=(1 - end.isoweekday()) % _WEEK)
