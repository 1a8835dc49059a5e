"""Checks that each operation can be done at all: its crew, its stretch of time.

Each step is judged with the model's own hours, and once more with the hours of each
order where options make them longer.
"""

from __future__ import annotations

from datetime import time, timedelta
from zoneinfo import ZoneInfo

from models.axis import Axis, local_instant
from models.boat import RoutingOperation
from models.calendars import expand
from models.hours import routed_hours, whole_ticks
from models.loading.checks.boat import MOST_HOURS
from models.loading.checks.people import Crews
from models.loading.checks.scope import BoatScope, YardScope
from models.loading.faults import quoted
from models.orders import Order
from models.outside import day_ends
from models.routing import RoutedOperation, color_chain, route
from models.spans import clip
from models.yard import Yard

_WEEKS = 4
_TABLES = ("calendars", "skills", "people", "allowances")


def trial_axis(yard: Yard) -> Axis:
    """Four weeks from the Monday of the first day that may be planned."""
    monday = yard.as_of - timedelta(days=yard.as_of.weekday())
    start = local_instant(monday, time(0), ZoneInfo(yard.time_zone))
    ticks = _WEEKS * 7 * 24 * 60 // yard.tick_minutes
    return Axis(start, yard.tick_minutes, ticks, yard.time_zone)


def calendar_of(step: RoutingOperation, yard: Yard) -> str:
    """Give the calendar a step is worked on: its own, its skill's, the delivery's."""
    if step.calendar is not None:
        return step.calendar
    of_skill = {skill.id: skill.calendar for skill in yard.skills}
    if step.skill is None:
        return yard.delivery_calendar
    return of_skill[step.skill]


class FitChecks:
    """Checks crews and stretches of models and orders against one yard."""

    def __init__(self, yard: YardScope) -> None:
        self.scope = yard
        self.crews = Crews(yard.yard, trial_axis(yard.yard))
        self.calendars = self.crews.calendars
        self.skills = {skill.id for skill in yard.yard.skills}

    def check_boat(self, boat: BoatScope) -> None:
        """Check each step of a model, those of its layouts included."""
        if not self.scope.whole(*_TABLES):
            return
        model = boat.model
        for step in model.operations:
            fault = self.fault(step, model.quantities)
            fault = fault or self._fault_of_slots(step, model.quantities)
            if fault:
                boat.fault(f"operations.{step.code}", *fault)
        for graphic in model.graphics:
            chain = color_chain(graphic)
            for step in chain.steps:
                fault = self.fault(step, chain.quantities)
                if fault:
                    name = step.code.split(".", 1)[-1]
                    boat.fault(f"graphics.{graphic.id}.{name}", *fault)

    def check_order(self, order: Order, boat: BoatScope, file: str, where: str) -> None:
        """Check the steps that an order's options make longer than the model's."""
        if not self.scope.whole(*_TABLES):
            return
        own = {step.code: step for step in boat.model.operations}
        routing = route(boat.model, order)
        for operation in routing.operations:
            step = own.get(operation.code)
            if step is None or operation.work == step.work:
                continue
            fault = self.fault(operation.step, routing.quantities)
            if fault and not self.fault(step, routing.quantities):
                found, expected = fault
                self.scope.log.add(
                    file,
                    where,
                    f"{operation.code} with these options: {found}",
                    expected,
                )

    def usable(self, step: RoutingOperation) -> bool:
        """Whether every name that the step takes from the yard is known."""
        if step.skill is not None and step.skill not in self.skills:
            return False
        if step.allowance not in (None, *self.scope.yard.allowances):
            return False
        return calendar_of(step, self.scope.yard) in self.calendars

    def hours(self, step: RoutingOperation, quantities: dict[str, float]) -> float:
        """Labor hours of a step; a quantity with a fault counts as nothing."""
        work = tuple(one for one in step.work if one.quantity in (None, *quantities))
        routed = RoutedOperation(step, work)
        return routed_hours(routed, quantities, self.scope.yard.allowances)

    def ticks(self, step: RoutingOperation, quantities: dict[str, float]) -> int:
        """Elapsed ticks at the largest crew that there are people for."""
        tick = self.scope.yard.tick_minutes
        if step.skill is None:
            return whole_ticks(step.duration_hours or 0.0, 1, tick)
        crew = max(1, min(step.crew_max, self.crews.count(step.skill)))
        return whole_ticks(self.hours(step, quantities), crew, tick)

    def leads(self, step: RoutingOperation) -> int:
        """How many of a step's crew must have its skill in full."""
        return self.scope.yard.least_leads(step.skill, step.leads_min)

    def fault(
        self, step: RoutingOperation, quantities: dict[str, float]
    ) -> tuple[str, str] | None:
        """Say what was found and expected where nobody could ever do a step."""
        if not self.usable(step):
            return None
        calendar = calendar_of(step, self.scope.yard)
        if step.lead_days is not None:
            return None
        if step.skill is None:
            return self._fault_without_crew(step, calendar)
        people = self.crews.count(step.skill)
        if people == 0:
            return None  # said once, of the skill
        needs = f"a crew of at least {step.crew_min} with {quoted(step.skill)}"
        if step.crew_min > people:
            return needs, f"at most {people}, the people who have that skill"
        leads = self.leads(step)
        if leads:
            needs += f", {leads} of them in full"
        if leads > (full := self.crews.count_full(step.skill)):
            if full == 0:
                return None  # said once, of the skill
            return needs, f"at most {full}, the people who have it in full"
        hours = self.hours(step, quantities)
        if not 0 <= hours <= MOST_HOURS:
            return None  # said once, of its hours
        if not self.crews.longest(
            step.skill, calendar, step.crew_min, step.one_go, leads
        ):
            expected = f"so many who are there together on the calendar '{calendar}'"
            return needs, expected
        return self._fault_of_length(step, calendar, hours)

    def _fault_of_length(
        self, step: RoutingOperation, calendar: str, hours: float
    ) -> tuple[str, str] | None:
        """Say why no crew of the step finds a stretch long enough, if so."""
        assert step.skill is not None
        tick = self.scope.yard.tick_minutes
        best: tuple[int, int, int] | None = None  # ticks short, ticks needed, crew
        for crew in range(step.crew_min, step.crew_max + 1):
            need = whole_ticks(hours, crew, tick)
            room = self.crews.longest(
                step.skill, calendar, crew, step.one_go, self.leads(step)
            )
            if room == 0:
                break
            if need <= room:
                return None
            if best is None or need - room <= best[0]:
                best = (need - room, need, crew)
        assert best is not None  # the smallest crew has some room
        short, need, crew = best
        found = f"{need * tick / 60:g} h with a crew of {crew}"
        there = f"{(need - short) * tick / 60:g} h"
        if step.one_go:
            return f"{found}, in one go", (
                f"at most {there}, the longest stretch on the calendar "
                f"'{calendar}' (split it by ply with a bond window, or let more "
                "people on it)"
            )
        expected = f"at most {there}, the longest time that many are there in a row"
        return found, expected

    def _fault_of_slots(
        self, step: RoutingOperation, quantities: dict[str, float]
    ) -> tuple[str, str] | None:
        """Say so where no slot of four weeks lets a step begin."""
        if step.slots not in self.calendars or not self.usable(step):
            return None
        calendar, axis = calendar_of(step, self.scope.yard), self.crews.axis
        slots = expand(self.calendars[step.slots], axis)[0]
        need = self.ticks(step, quantities)
        starts = self.crews.runs(calendar, step.one_go)
        if step.lead_days is not None:
            starts = day_ends(starts, axis)
        elif need == 0:
            return None
        if step.one_go:
            starts = tuple((run, end - need + 1) for run, end in starts)
        if any(clip(slots, first, max(first, last)) for first, last in starts):
            return None
        return (
            f"no slot of '{step.slots}' in which it can begin",
            f"a slot in the open time of '{calendar}', early enough for its length",
        )

    def _fault_without_crew(
        self, step: RoutingOperation, calendar: str
    ) -> tuple[str, str] | None:
        tick = self.scope.yard.tick_minutes
        need = whole_ticks(step.duration_hours or 0.0, 1, tick)
        runs = self.crews.runs(calendar, step.one_go)
        room = max((end - start for start, end in runs), default=0)
        if need == 0 or (need <= room if step.one_go else room > 0):
            return None
        expected = (
            f"at most {room * tick / 60:g} h, the longest stretch on '{calendar}'"
        )
        return f"{need * tick / 60:g} h in one go", expected
