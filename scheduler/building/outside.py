"""Outside operations in the problem: their calendars, and how long they are away."""

from __future__ import annotations

from collections.abc import Mapping

from models.axis import Axis
from models.calendars import expand
from models.outside import day_ends, day_ends_left, day_ends_name
from models.spans import Span
from models.yard import Yard
from scheduler.building.orders import Template
from scheduler.problem import Calendar, Committed


def outside_calendars(
    yard: Yard, templates: Mapping[str, Template], axis: Axis
) -> tuple[Calendar, ...]:
    """Ends of days of every calendar on which an order has work done outside."""
    used = {name for one in templates.values() for name in one.calendars}
    return tuple(
        Calendar(name, day_ends(expand(one, axis)[0], axis), (), False)
        for one in yard.calendars
        if (name := day_ends_name(one.id)) in used
    )


class Outside:
    """How long outside operations are away, on one axis."""

    def __init__(self, yard: Yard, axis: Axis, now: int) -> None:
        self.axis = axis
        self.now = now
        self._calendars = {day_ends_name(one.id): one for one in yard.calendars}
        self._ends: dict[str, tuple[Span, ...]] = {}

    def minutes(
        self, template: Template, index: int, fact: Committed | None
    ) -> int | None:
        """Minutes on the calendar of ends of days; None for work in the yard."""
        lead = template.steps[index].step.lead_days
        if lead is None:
            return None
        name = template.calendars[index]
        if name not in self._ends:
            opened = expand(self._calendars[name], self.axis)[0]
            self._ends[name] = day_ends(opened, self.axis)
        begun = fact is not None and fact.why == "started"
        left_at = fact.start if fact is not None and begun else None
        left = day_ends_left(lead, self._ends[name], left_at, self.now)
        return left * self.axis.tick_minutes
