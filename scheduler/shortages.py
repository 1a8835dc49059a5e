"""Items that are not here yet, against the plan that needs them.

A boat-day at stake is a working day on which a step waits for nothing but its item:
from the first moment at which the boat's own earlier work, release and calendar allow
the step, to the first at which the item does. A step that the plan begins on a later
day than its item comes waits for something else, so nothing is at stake with that item.
Boat-days eat float where the boat leaves the step some beyond the item. Where none is
left, as many of them as the boat is late count as late days, with the finish moved by
the working days that the item comes too late; the others eat what the boat has to spare
before its due date.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

from models.calendars import working_days
from scheduler.overtime import as_worked
from scheduler.own_float import GIVEN, OwnFloat
from scheduler.waiting_for import Causes

if TYPE_CHECKING:
    from models.orders import Arrival, Book
    from scheduler.plan import Plan
    from scheduler.problem import Order


@dataclass(frozen=True, slots=True)
class Shortage:
    """One missing item and the boat-days at stake, in whole working days.

    `comes` is the confirmed date, or the expected one; an `overdue` item should have
    been here and is taken to come at once. `float_left` is by how much it may still
    come later before its boat's planned finish moves.
    """

    order: str
    operation: str  # routing code
    item: str
    needed: date
    comes: date
    overdue: bool
    late_days: int
    float_days: int
    float_left: int

    @property
    def at_stake(self) -> int:
        """Boat-days at stake: late ones and those of float."""
        return self.late_days + self.float_days


@dataclass(frozen=True, slots=True)
class Missing:
    """What is missing: most at stake first, and orders that the plan does not hold."""

    shortages: tuple[Shortage, ...]
    unplanned: tuple[str, ...]


def missing_items(plan: Plan, book: Book) -> Missing:
    """Weigh every item of a book that has not arrived and whose step has not begun.

    Sorted by late days, then by days of float, then by the float that is left.
    """
    known = {one.id for one in plan.problem.operations}
    given = {one.operation for one in plan.problem.committed if one.why in GIVEN}
    given |= {f"{one.order}/{one.operation}" for one in book.in_hand}
    absent = [one for one in book.arrivals if one.arrived is None]
    rows = [one for one in absent if f"{one.order}/{one.operation}" in known - given]
    orders = {one.order for one in plan.problem.orders}
    scale = _Scale(plan, {f"{one.order}/{one.operation}" for one in rows})
    found = [scale.weigh(one) for one in rows]
    return Missing(
        tuple(
            sorted(
                found,
                key=lambda one: (
                    -one.late_days,
                    -one.float_days,
                    one.float_left,
                    one.needed,
                    one.order,
                ),
            )
        ),
        tuple(dict.fromkeys(one.order for one in absent if one.order not in orders)),
    )


class _Scale:
    """Weighs the items of one plan."""

    def __init__(self, plan: Plan, waiting: set[str]) -> None:
        plan = as_worked(plan)
        self._plan, self._axis = plan, plan.problem.axis
        self._orders = {one.order: one for one in plan.problem.orders}
        self._operations = {one.id: one for one in plan.problem.operations}
        self._planned = {one.operation: one for one in plan.answer.operations}
        self._causes = Causes(self._without_items(waiting))
        self._floats: dict[str, OwnFloat] = {}
        delivery = plan.problem.delivery_calendar
        (opened,) = (c.open for c in plan.problem.calendars if c.id == delivery)
        days = working_days(opened, self._axis)
        self._dates, self._ends = [day for day, _ in days], [end for _, end in days]

    def weigh(self, arrival: Arrival) -> Shortage:
        """Say what is at stake with one item."""
        name = f"{arrival.order}/{arrival.operation}"
        row, axis = self._planned[name], self._axis
        comes = arrival.confirmed or arrival.expected
        assert comes is not None  # a row without any date does not load
        now = self._plan.problem.now
        reason = self._causes.waited_for(name)
        ready = reason.ready + reason.closed
        at = max(now, axis.day_start(comes))
        usable = self._causes.clock.first_start(self._operations[name], row, at)
        usable = axis.ticks if usable is None else usable
        own = self._float_of(arrival.order)
        latest = own.latest_start(name)
        held = max(0, self._day(usable) - self._day(ready))
        if self._day(usable) < self._day(row.start):
            held = 0  # in time: something else has the step begin later
        moved = self._day(own.finish) + max(0, self._day(usable) - self._day(latest))
        left = max(0, self._day(latest) - self._day(usable))
        late = 0 if left else self._late_days(self._orders[arrival.order], moved)
        late = min(held, late)
        return Shortage(
            order=arrival.order,
            operation=arrival.operation,
            item=arrival.item,
            needed=axis.local(row.start).date(),
            comes=comes,
            overdue=comes < axis.local(now).date(),
            late_days=late,
            float_days=held - late,
            float_left=left,
        )

    def _without_items(self, waiting: set[str]) -> Plan:
        """The plan as if no step had to wait for an item, where each stands."""
        problem = self._plan.problem
        operations = tuple(
            replace(one, earliest=max(problem.now, self._orders[one.order].release))
            if one.id in waiting
            else one
            for one in problem.operations
        )
        return replace(self._plan, problem=replace(problem, operations=operations))

    def _float_of(self, order: str) -> OwnFloat:
        if order not in self._floats:
            self._floats[order] = OwnFloat(self._plan, self._causes.clock, order)
        return self._floats[order]

    def _day(self, tick: int) -> int:
        """Number of working days of the delivery calendar that ended before a tick."""
        return bisect_left(self._ends, tick)

    def _late_days(self, order: Order, day: int) -> int:
        """Working days by which an order is late if finished on a numbered one."""
        due = order.promised or order.wanted
        if due is None:
            return 0
        return max(0, day - (bisect_right(self._dates, date.fromisoformat(due)) - 1))
