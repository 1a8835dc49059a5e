"""From the order book to the problem: everything that a plan must respect."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date, time, timedelta
from zoneinfo import ZoneInfo

from models.axis import Axis, local_instant
from models.calendars import available, expand, outage_spans
from models.errors import DataFaults, Fault
from models.job_orders import with_job_molds, work_orders
from models.orders import Book, Order
from models.spans import Span
from models.yard import Mold, Person, Station, Yard
from scheduler import problem as problems
from scheduler.building import horizon
from scheduler.building.commitment import FACTS, Standing, standing
from scheduler.building.facts import (
    ARRIVALS,
    Facts,
    lost_windows,
    read_in_hand,
    read_locks,
    wait_faults,
)
from scheduler.building.orders import (
    Known,
    Template,
    build_operation,
    build_parts,
    build_waits,
    order_templates,
)
from scheduler.building.outside import Outside, outside_calendars
from scheduler.building.overtime import (
    opened_by,
    overtime_limits,
    overtime_windows,
    with_locked_windows,
    with_standing_windows,
)
from scheduler.building.reprep import surely_missed, with_needed_reprep
from scheduler.building.slots import slot_faults
from scheduler.plan import Plan
from scheduler.problem import Problem

_FURTHEST_BACK = timedelta(days=400)
_MONDAY = 1


def build_problem(
    book: Book,
    *,
    horizon_days: int | None = None,
    committed: Plan | None = None,
    rearrange: bool = False,
    released: Mapping[str, str] | None = None,
    known: Known | None = None,
) -> Problem:
    """Build the problem of an order book.

    Parameters
    ----------
    book : Book
        The yard, its boat models and everything ordered.
    horizon_days : int, optional
        Days from `as_of` that the axis must cover at least (it ends on a Monday);
        by default enough for the whole book, see `scheduler.building.horizon`.
    committed : Plan, optional
        A plan that stands: its operations are frozen unless facts forbid it, and
        level 3 counts what differs from it.
    rearrange : bool
        Freeze only what the committed plan starts inside the frozen window.
    released : mapping, optional
        Operations to free beside those that facts free, with the cause.
    known : dict, optional
        Templates of orders of this yard and its models; new ones are put in.

    Raises
    ------
    DataFaults
        If facts, locks or arrivals contradict the book or each other.
    """
    book = with_job_molds(book)
    problem = _from_book(book, horizon_days, committed, known)
    if committed is None:
        return with_locked_windows(problem)
    given = standing(problem, committed, rearrange=rearrange, released=released)
    stands = {one.operation: given.planned[one.operation] for one in given.committed}
    opened = opened_by(problem, committed)
    problem = with_standing_windows(_with_standing(problem, given), stands, opened)
    return with_locked_windows(problem)


def estimate_horizon_days(book: Book, known: Known | None = None) -> int:
    """Days from `as_of` in which the whole book surely can be built."""
    return horizon.estimate_horizon_days(book, known)


def _days(
    book: Book,
    templates: Mapping[str, Template],
    given: int | None,
    committed: Plan | None,
) -> int:
    days = horizon.horizon_days(book, templates) if given is None else given
    if committed is not None:
        end = max((one.finish for one in committed.answer.operations), default=0)
        last = committed.problem.axis.local(end).date()
        days = max(days, (last - book.yard.as_of).days + 7)
    return days


def _axis(book: Book, days: int) -> Axis:
    """Lay the axis from the Monday before everything known to the horizon's end."""
    yard = book.yard
    known = [one.started.date() for one in book.in_hand]
    known += [day for order in work_orders(book) if (day := _due(order)) is not None]
    first = max(min([yard.as_of, *known]), yard.as_of - _FURTHEST_BACK)
    zone = ZoneInfo(yard.time_zone)
    monday = first - timedelta(days=first.isoweekday() - _MONDAY)
    start = local_instant(monday, time(0), zone)
    endless = Axis(start, yard.tick_minutes, 0, yard.time_zone)
    end = horizon.end_of_horizon(yard.as_of, max(days, 1))
    return replace(endless, ticks=endless.day_start(end))


def _due(order: Order) -> date | None:
    return order.promised or order.wanted


def _from_book(
    book: Book, horizon_days: int | None, committed: Plan | None, known: Known | None
) -> Problem:
    """Build the problem of the book alone.

    Where facts broke a maximum wait that has a re-preparation, it is put in and all
    is built again, as that may in turn be too late for another.
    """
    while True:
        templates = order_templates(book, known)
        axis = _axis(book, _days(book, templates, horizon_days, committed))
        problem, faults = _drafted(book, templates, axis)
        lost = lost_windows(problem)
        repaired = with_needed_reprep(book, lost) if lost else book
        if repaired == book:
            break
        book = repaired
    faults += [*wait_faults(problem, lost), *slot_faults(problem)]
    if faults:
        raise DataFaults(faults)
    return problem


def _drafted(
    book: Book, templates: Mapping[str, Template], axis: Axis
) -> tuple[Problem, list[Fault]]:
    """Make the problem of the book and list what is wrong with its rows."""
    yard, work = book.yard, work_orders(book)
    now = axis.day_start(yard.as_of)
    windows = overtime_windows(yard, axis, now)
    parts = {name: build_parts(name, one) for name, one in templates.items()}
    known = [f"{name}/{code}" for name, one in templates.items() for code in one.codes]
    facts = read_in_hand(book, axis, parts, known)
    operations = _operations(book, templates, axis, now, facts)
    read_locks(book, axis, parts, operations, facts)
    begun = {name for name, one in facts.committed.items() if one.why in FACTS}
    problem = Problem(
        axis=axis,
        now=now,
        week_start=_MONDAY,
        delivery_calendar=yard.delivery_calendar,
        frozen_until=axis.day_start(yard.as_of + timedelta(days=yard.frozen_days)),
        buffer_days=yard.buffer_days,
        calendars=(*_calendars(yard, axis), *outside_calendars(yard, templates, axis)),
        people=_people(yard, axis),
        molds=_molds(yard, axis),
        places=_places(yard, axis),
        stations=tuple(_station(one) for one in yard.stations),
        orders=tuple(
            _order(one, yard, axis, None if at < len(book.orders) else "other")
            for at, one in enumerate(work)
        ),
        parts=tuple(part for order in work for part in parts[order.order]),
        operations=tuple(operations.values()),
        waits=tuple(
            surely_missed(wait, begun, axis.tick_minutes)
            for order in work
            for wait in build_waits(order.order, templates[order.order], facts.rounding)
        ),
        overtime=windows,
        overtime_limits=overtime_limits(yard),
        temperature=_temperature(yard, axis),
        limits=tuple(
            problems.Limit(one.id, one.from_operation, one.to_operation, one.most)
            for one in yard.limits
        ),
        objective=problems.Objective(
            levels=yard.objective.levels,
            tolerances=yard.objective.tolerances,
            mold_day_rate=yard.objective.mold_day_rate,
            place_day_rate=yard.objective.place_day_rate,
            flow_day_rate=yard.objective.flow_day_rate,
        ),
        committed=tuple(
            facts.committed[name] for name in operations if name in facts.committed
        ),
    )
    return problem, facts.faults


def _operations(
    book: Book,
    templates: Mapping[str, Template],
    axis: Axis,
    now: int,
    facts: Facts,
) -> dict[str, problems.Operation]:
    """Make every operation, each order's in a topological order of its waits."""
    arrivals = _arrivals(book, templates, axis, facts)
    outside = Outside(book.yard, axis, now)
    out: dict[str, problems.Operation] = {}
    for order in work_orders(book):
        template = templates[order.order]
        release = _release(order, axis)
        for index, code in enumerate(template.codes):
            name = f"{order.order}/{code}"
            earliest = max(now, release, arrivals.get(name, 0))
            fact = facts.committed.get(name)
            if fact is not None and fact.start is not None:
                is_done = fact.why == "done"
                earliest = fact.start if is_done else max(now, fact.start)
            out[name] = build_operation(
                order.order,
                template,
                index,
                earliest,
                facts.remaining.get(name),
                outside.minutes(template, index, fact),
            )
    return out


def _arrivals(
    book: Book, templates: Mapping[str, Template], axis: Axis, facts: Facts
) -> dict[str, int]:
    """Give the tick before which missing items keep an operation from starting."""
    out: dict[str, int] = {}
    for one in book.arrivals:
        template = templates.get(one.order)
        where = f"order {one.order}, {one.operation}"
        if template is None or one.operation not in template.codes:
            fault = Fault(
                ARRIVALS, where, one.operation, "an operation of an order in the book"
            )
            facts.faults.append(fault)
            continue
        if one.arrived is not None:
            continue
        day = one.confirmed or one.expected
        if day is None:
            fault = Fault(
                ARRIVALS,
                where,
                f"no date for {one.item}",
                "a date in 'expected', 'confirmed' or 'arrived'",
            )
            facts.faults.append(fault)
            continue
        name = f"{one.order}/{one.operation}"
        out[name] = max(out.get(name, 0), axis.day_start(day))
    return out


def _release(order: Order, axis: Axis) -> int:
    return 0 if order.release is None else max(0, axis.day_start(order.release))


def _order(order: Order, yard: Yard, axis: Axis, kind: str | None) -> problems.Order:
    rules = yard.objective
    factor = rules.weight_promised if order.promised else rules.weight_unpromised
    return problems.Order(
        order=order.order,
        kind=kind or ("boat" if order.reserved_until is None else "reservation"),
        model=order.model,
        release=_release(order, axis),
        promised=None if order.promised is None else order.promised.isoformat(),
        wanted=None if order.wanted is None else order.wanted.isoformat(),
        weight=order.weight * factor,
        reserved_until=(
            None if order.reserved_until is None else order.reserved_until.isoformat()
        ),
    )


def _calendars(yard: Yard, axis: Axis) -> tuple[problems.Calendar, ...]:
    return tuple(
        problems.Calendar(
            one.id, *expand(one, axis), one.breaks_relieved, one.starts_per_slot
        )
        for one in yard.calendars
    )


def _people(yard: Yard, axis: Axis) -> tuple[problems.Person, ...]:
    calendars, led = {one.id: one for one in yard.calendars}, yard.led_skills
    known: dict[tuple[Span, ...], tuple[Span, ...]] = {}  # most have the same hours

    def hours_of(one: Person) -> tuple[Span, ...]:
        spans = available(one, calendars[one.calendar], axis)
        return known.setdefault(spans, spans)

    return tuple(
        problems.Person(
            one.id,
            one.skills,
            hours_of(one),
            tuple(skill for skill in one.skills if skill in led),
            one.apprentice_in,
        )
        for one in yard.people
    )


def _molds(yard: Yard, axis: Axis) -> tuple[problems.Mold, ...]:
    return tuple(
        problems.Mold(
            id=one.id,
            part=one.part,
            models=one.models,
            unavailable=outage_spans(one.outages, axis),
            pulls=one.pulls,
            service_every=one.service_every,
            service_hours=one.service_hours,
            service_calendar=_service_calendar(one, yard),
            service_skill=one.service_skill,
            service_crew=one.service_crew,
        )
        for one in yard.molds
    )


def _station(one: Station) -> problems.Station:
    setups = (problems.Setup(s.before, s.after, s.minutes) for s in one.setups)
    return problems.Station(one.id, one.capacity, tuple(setups), one.last_family)


def _service_calendar(mold: Mold, yard: Yard) -> str | None:
    if mold.service_every is None:
        return None
    of_skill = {skill.id: skill.calendar for skill in yard.skills}
    usual = of_skill.get(mold.service_skill or "", yard.delivery_calendar)
    return mold.service_calendar or usual


def _temperature(yard: Yard, axis: Axis) -> tuple[problems.Temperature, ...]:
    if yard.temperature is None:
        return ()
    first, last = axis.local(0).date(), axis.local(axis.ticks).date()
    changes = yard.temperature.changes(first, last)
    return tuple(problems.Temperature(day.isoformat(), at) for day, at in changes)


def _places(yard: Yard, axis: Axis) -> tuple[problems.Place, ...]:
    return tuple(
        problems.Place(
            id=one.id,
            kind=one.kind,
            models=one.models,
            capacity=one.capacity,
            unavailable=outage_spans(one.outages, axis),
        )
        for one in yard.places
    )


def _with_standing(problem: Problem, given: Standing) -> Problem:
    """Add what a committed plan binds; it replaces a lock that it agrees with."""
    entries = {one.operation: one for one in problem.committed}
    entries.update({one.operation: one for one in given.committed})
    order = (one.id for one in problem.operations)
    return replace(
        problem,
        committed=tuple(entries[name] for name in order if name in entries),
        published=given.published,
        services=given.services,
    )
