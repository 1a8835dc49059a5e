"""A plan prepared for drawing: rows with names and naive local times.

Times are drawn as the yard's clocks show them, without an offset, because the charts
would drop it; lengths are taken on that clock, too.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import defaultdict
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from functools import cached_property
from typing import TYPE_CHECKING

from dashboard.wording import count
from models.calendars import working_days
from models.names import Names, plain
from scheduler.groups import groups_of_stations
from scheduler.waiting import WaitClock
from scheduler.waiting_for import Causes

if TYPE_CHECKING:
    from collections.abc import Iterable

    from scheduler.plan import Occupation, OrderResult, Plan
    from scheduler.problem import Order, Problem


@dataclass(frozen=True, slots=True)
class Row:
    """One operation as it is drawn."""

    id: str
    order: str
    model: str
    code: str
    name: str
    stream: str  # hull | deck | small | upholstery
    parts: str
    station: str
    group: int
    skill: str
    crew: int
    people: str
    begins: datetime
    ends: datetime
    hours: float  # labor hours planned in all
    state: str  # planned | done | started | frozen | locked
    mold: str
    place: str


@dataclass(frozen=True, slots=True)
class Cure:
    """A cure that follows an operation: nobody works, the part stands still."""

    before: str
    begins: datetime
    ends: datetime


@dataclass(frozen=True, slots=True)
class Held:
    """A mold or place taken by a part."""

    resource: str
    is_mold: bool
    order: str
    part: str
    stream: str
    begins: datetime
    ends: datetime


@dataclass(frozen=True, slots=True)
class Boat:
    """One order with its promise and what the plan makes of it."""

    order: str
    model: str
    customer: str
    promised: date | None
    wanted: date | None
    proposed: date | None
    finish: datetime
    days: int | None  # working days after the due date; negative if before
    begins: datetime

    @property
    def due(self) -> date | None:
        """What the boat is measured against."""
        return self.promised or self.wanted

    @property
    def late(self) -> bool:
        """Whether it is finished after its due date."""
        return self.days is not None and self.days > 0


@dataclass(frozen=True)
class View:
    """Everything that the pages draw."""

    plan: Plan
    names: Names
    rows: tuple[Row, ...]
    cures: tuple[Cure, ...]
    held: tuple[Held, ...]
    boats: tuple[Boat, ...]
    groups: tuple[str, ...]
    now: datetime
    frozen_until: datetime

    @cached_property
    def by_id(self) -> dict[str, Row]:
        """Rows by operation."""
        return {one.id: one for one in self.rows}

    @cached_property
    def boat(self) -> dict[str, Boat]:
        """Boats by order."""
        return {one.order: one for one in self.boats}

    def counted(self, orders: Iterable[str]) -> str:
        """How many boats some orders are, and how many other jobs if there are any."""
        jobs = {
            plain(one.order) for one in self.plan.problem.orders if one.kind == "other"
        }
        chosen = set(orders)
        boats, others = chosen - jobs, chosen & jobs
        told = [count(len(boats), "boat")] if boats or not others else []
        told += [count(len(others), "other job")] if others else []
        return " and ".join(told)

    @cached_property
    def causes(self) -> Causes:
        """Why operations begin when they do, worked out when asked."""
        return Causes(self.plan)

    @cached_property
    def first_week(self) -> date:
        """Monday of the week of the first open work or of now, the later one."""
        return monday(self.now.date())

    @cached_property
    def last_week(self) -> date:
        """Monday of the week that holds the last finish."""
        last = max((one.finish for one in self.boats), default=self.now)
        return monday(max(last, self.now).date())

    @cached_property
    def open_days(self) -> frozenset[date]:
        """Local days on which the delivery calendar has open time."""
        return frozenset(day for day, _ in day_ends(self.plan.problem))

    def closed(self, first: date, after: date) -> list[tuple[datetime, datetime]]:
        """Runs of closed days in a window, as spans of time."""
        spans: list[tuple[datetime, datetime]] = []
        day, one = first, timedelta(days=1)
        while day < after:
            begins = datetime.combine(day, time())
            if day not in self.open_days:
                if spans and spans[-1][1] == begins:
                    begins = spans.pop()[0]
                spans.append((begins, datetime.combine(day + one, time())))
            day += one
        return spans

    @property
    def zone(self) -> str:
        """The yard's time zone."""
        return self.plan.problem.axis.zone_name

    def local(self, tick: int) -> datetime:
        """Naive yard time of a tick."""
        return self.plan.problem.axis.local(tick).replace(tzinfo=None)


def monday(day: date) -> date:
    """Monday of the ISO week of a day."""
    return day - timedelta(days=day.isoweekday() - 1)


def stream_of(parts: tuple[str, ...], code: str) -> str:
    """Which of a boat's four lanes an operation is drawn in."""
    if "hull" in parts or "boat" in parts or len(parts) > 1:
        return "hull"
    if "deck" in parts:
        return "deck"
    if any(part.startswith("uphol") for part in parts) or code.startswith("uphol"):
        return "upholstery"
    return "small" if parts else "hull"


def make_view(plan: Plan, names: Names) -> View:
    """Prepare a plan for drawing."""
    problem = plan.problem
    if any(one.station not in names.groups for one in problem.operations):
        names = replace(names, groups=groups_of_stations(problem.operations))
    groups = names.group_names(list({one.station for one in problem.operations}))
    maker = _Maker(plan, names, groups)
    return View(
        plan=plan,
        names=names,
        rows=maker.rows(),
        cures=maker.cures(),
        held=tuple(maker.held(one) for one in plan.answer.occupations),
        boats=maker.boats(),
        groups=tuple(groups),
        now=maker.local(problem.now),
        frozen_until=maker.local(problem.frozen_until),
    )


class _Maker:
    """Turns the rows of a plan into rows to draw."""

    def __init__(self, plan: Plan, names: Names, groups: list[str]) -> None:
        self.plan, self.names, self.groups = plan, names, groups
        self.known = {one.id: one for one in plan.problem.operations}
        self.model = {one.order: one.model for one in plan.problem.orders}
        self.planned = {one.operation: one for one in plan.answer.operations}
        self.occupied: dict[tuple[str, str], list[Occupation]] = defaultdict(list)
        for one in plan.answer.occupations:
            self.occupied[one.order, one.part].append(one)
        self.molds = {one.id for one in plan.problem.molds}

    def local(self, tick: int) -> datetime:
        return self.plan.problem.axis.local(tick).replace(tzinfo=None)

    def rows(self) -> tuple[Row, ...]:
        why = {one.operation: one.why for one in self.plan.problem.committed}
        made = [self._row(id, why.get(id, "planned")) for id in self.planned]
        return tuple(sorted(made, key=lambda one: (one.begins, one.id)))

    def _row(self, id: str, state: str) -> Row:
        operation, planned = self.known[id], self.planned[id]
        model = self.model[operation.order]
        group = self.names.groups.get(operation.station, self.groups[0])
        people = dict.fromkeys(plain(one.person) for one in planned.people)
        molds, places = self._where(id)
        names = [self.names.part(model, part) for part in operation.parts]
        return Row(
            id=id,
            order=plain(operation.order),
            model=self.names.model(model),
            code=plain(operation.code),
            name=self.names.operation(model, operation.code),
            stream=stream_of(operation.parts, operation.code),
            parts=", ".join(names),
            station=self.names.station(operation.station),
            group=self.groups.index(group) if group in self.groups else 0,
            skill=self.names.skill(operation.skill) if operation.skill else "",
            crew=planned.crew,
            people=", ".join(people),
            begins=self.local(planned.start),
            ends=self.local(planned.finish),
            hours=operation.labor_hours,
            state=state,
            mold=", ".join(molds),
            place=", ".join(places),
        )

    def _where(self, id: str) -> tuple[list[str], list[str]]:
        """Molds and places in which the parts of an operation are during it."""
        operation, planned = self.known[id], self.planned[id]
        molds: dict[str, None] = {}
        places: dict[str, None] = {}
        for part in operation.parts:
            for one in self.occupied[operation.order, part]:
                touches = one.start < planned.finish and planned.start < one.finish
                if touches or one.start <= planned.start < one.finish:
                    target = molds if one.resource in self.molds else places
                    target[plain(one.resource)] = None
        return list(molds), list(places)

    def cures(self) -> tuple[Cure, ...]:
        """Cures, each drawn once however many operations wait for it."""
        tick = self.plan.problem.axis.tick_minutes
        clock = WaitClock(self.plan.problem)
        spans: dict[tuple[str, int], int] = {}
        for wait in self.plan.problem.waits:
            if wait.kind != "cure" or wait.before not in self.planned:
                continue
            before = self.planned[wait.before]
            since = before.finish if wait.before_of == "end" else before.start
            cured = clock.cured(wait, since)
            until = since + -(-wait.min_minutes // tick) if cured is None else cured
            key = (wait.before, since)
            spans[key] = max(spans.get(key, since), until)
        return tuple(
            Cure(id, self.local(since), self.local(until))
            for (id, since), until in spans.items()
            if until > since
        )

    def held(self, one: Occupation) -> Held:
        return Held(
            resource=plain(one.resource),
            is_mold=one.resource in self.molds,
            order=plain(one.order),
            part=self.names.part(self.model[one.order], one.part),
            stream=stream_of((one.part,), one.part),
            begins=self.local(one.start),
            ends=self.local(one.finish),
        )

    def boats(self) -> tuple[Boat, ...]:
        results = {one.order: one for one in self.plan.answer.orders}
        first: dict[str, int] = {}
        for id, planned in self.planned.items():
            order = self.known[id].order
            first[order] = min(first.get(order, planned.start), planned.start)
        ends = day_ends(self.plan.problem)
        made = [
            self._boat(order, results[order.order], first[order.order], ends)
            for order in self.plan.problem.orders
            if order.order in results
        ]
        return tuple(sorted(made, key=lambda one: (one.due or date.max, one.order)))

    def _boat(
        self,
        order: Order,
        result: OrderResult,
        first: int,
        ends: list[tuple[date, int]],
    ) -> Boat:
        due = _day(order.promised or order.wanted)
        return Boat(
            order=plain(order.order),
            model=self.names.model(order.model),
            customer=self.names.customers.get(order.order, ""),
            promised=_day(order.promised),
            wanted=_day(order.wanted),
            proposed=_day(result.proposed),
            finish=self.local(result.finish),
            days=None if due is None else _days_after(due, result.finish, ends),
            begins=self.local(first),
        )


def day_ends(problem: Problem) -> list[tuple[date, int]]:
    """Working days of the delivery calendar, each with the end of its open time."""
    for calendar in problem.calendars:
        if calendar.id == problem.delivery_calendar:
            return working_days(calendar.open, problem.axis)
    return []


def _day(text: str | None) -> date | None:
    return date.fromisoformat(text) if text else None


def _days_after(due: date, finish: int, ends: list[tuple[date, int]]) -> int:
    """Working days from the due date to a finish; negative if it is before."""
    reached = bisect_left([end for _, end in ends], finish)
    last = bisect_left([day for day, _ in ends], due + timedelta(days=1)) - 1
    return reached - last
