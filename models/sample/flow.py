"""The shortest time in which one boat could run through its routing."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator
from typing import NamedTuple

from models.boat import BoatModel, RoutingWait
from models.hours import operation_hours
from models.orders import Order
from models.routing import Routing, route
from models.yard import TradeCalendar, Yard


def hours_on(calendar: TradeCalendar, weekday: int) -> float:
    """Open hours on an ISO weekday without a holiday; shifts must not overlap."""
    minutes = 0.0
    for shift in calendar.shifts:
        if weekday in shift.days:
            spans = [(shift.start, shift.end, 1), *((*one, -1) for one in shift.breaks)]
            for start, end, sign in spans:
                until = (end.hour * 60 + end.minute) or 24 * 60
                minutes += sign * (until - start.hour * 60 - start.minute)
    return minutes / 60


class Stay(NamedTuple):
    """Days for which a mold of a part, or a place of a kind, is taken."""

    what: str  # mold | place
    kind: str
    days: float


class Flow:
    """The shortest way through an order's routing, in working days.

    A step takes its hours at the largest crew that the yard can form, as a share of a
    working day; a wait its minimum, as a share of 24 hours. People, molds and places
    are taken as free. `number` is the boat's within its model, for its learning.
    """

    def __init__(
        self, model: BoatModel, order: Order, yard: Yard, number: int | None = None
    ) -> None:
        self.model = model
        self.routing = route(model, order)
        self.hours = operation_hours(model, order, yard, number)
        day = _working_day(yard)
        able = Counter(skill for person in yard.people for skill in person.counts_for)
        self.days = {}
        for operation in self.routing.operations:
            step = operation.step
            hours = step.duration_hours or 0.0
            if step.skill is not None:
                crew = max(1, min(step.crew_max, able[step.skill]))
                hours = self.hours[step.code] / crew
            self.days[step.code] = hours / day + (step.lead_days or 0)
        self._codes = tuple(_in_order(self.routing))
        self._into: dict[str, list[RoutingWait]] = defaultdict(list)
        for wait in self.routing.waits:
            self._into[wait.after].append(wait)

    def starts_after(self, first: str) -> dict[str, float]:
        """Days from the start of a step to the start of each that follows from it."""
        return self._starts({first: 0.0})

    def _starts(self, starts: dict[str, float]) -> dict[str, float]:
        """Let steps start as early as those that have started allow."""
        for after in self._codes:
            for wait in self._into[after]:
                if wait.before in starts:
                    since = starts[wait.before] + wait.min_hours / 24
                    since += self.days[wait.before] if wait.before_of == "end" else 0.0
                    since -= self.days[after] if wait.after_of == "end" else 0.0
                    starts[after] = max(starts.get(after, 0.0), since)
        return starts

    def to_end(self, first: str) -> float:
        """Days from the start of a step to the finish of all that follows from it."""
        return self._finish(self.starts_after(first))

    def total(self) -> float:
        """Days from the first start to the last finish."""
        return self._finish(self._starts(dict.fromkeys(self._codes, 0.0)))

    def _finish(self, starts: dict[str, float]) -> float:
        return max(start + self.days[code] for code, start in starts.items())

    def stays(self) -> Iterator[Stay]:
        """Give for each part how long it is in its mold, and in its place."""
        for part in self.model.parts:
            if part.mold_from in self.days and part.mold_to in self.days:
                days = self._between(part.mold_from, part.mold_to, "end")
                yield Stay("mold", part.id, days)
            if part.place_from in self.days and part.place_to in self.days:
                assert part.place_kind is not None
                days = self._between(part.place_from, part.place_to, part.place_to_of)
                yield Stay("place", part.place_kind, days)

    def _between(self, first: str | None, last: str | None, end: str) -> float:
        assert first is not None
        assert last is not None
        until = self.days[last] if end == "end" else 0.0
        return self.starts_after(first).get(last, 0.0) + until


def _working_day(yard: Yard) -> float:
    """Open hours of an average working day of the delivery calendar."""
    calendar = next(one for one in yard.calendars if one.id == yard.delivery_calendar)
    hours = [hours_on(calendar, weekday) for weekday in range(1, 8)]
    worked = [one for one in hours if one > 0]
    return sum(worked) / len(worked)


def _in_order(routing: Routing) -> Iterator[str]:
    """Step codes, each after all that it waits for; loading has refused cycles."""
    left = {operation.code: 0 for operation in routing.operations}
    for wait in routing.waits:
        left[wait.after] += 1
    ready = [code for code, count in left.items() if count == 0]
    while ready:
        code = ready.pop(0)
        yield code
        for wait in routing.waits:
            if wait.before == code:
                left[wait.after] -= 1
                if left[wait.after] == 0:
                    ready.append(wait.after)
