"""Checks of arrivals and locks against the orders' routings."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import time
from itertools import chain
from typing import Any, TypeVar
from zoneinfo import ZoneInfo

from models.axis import Axis, local_instant
from models.boat import BoatModel, RoutingOperation
from models.calendars import expand, overtime_spans
from models.loading.checks.fit import calendar_of
from models.loading.checks.scope import YardScope
from models.loading.csv import Read
from models.loading.faults import FaultLog, listed, one_of, quoted
from models.loading.orders import ArrivalRow, InHandRow, LockRow
from models.outside import day_ends
from models.routing import Routing, color_chain
from models.yard import Yard

Step = TypeVar("Step", ArrivalRow, InHandRow, LockRow)


@dataclass(frozen=True, slots=True)
class Floor:
    """What rows about the floor are checked against.

    `orders` holds every order with a row, good or bad, or None where a file of orders
    could not be read; `routings` those that can be built.
    """

    yard: YardScope
    log: FaultLog
    orders: frozenset[str] | None
    models: Mapping[str, BoatModel]  # by order, also of orders with a fault
    routings: Mapping[str, Routing]  # by order

    def step(self, order: str, operation: str) -> RoutingOperation | None:
        """Give an order's operation, if the order can be built and has it."""
        routing = self.routings.get(order)
        for routed in routing.operations if routing else ():
            if routed.code == operation:
                return routed.step
        return None

    def fault(self, line: Read[Any], column: str, found: str, expected: str) -> None:
        """Note a fault in one cell."""
        self.log.add(line.file, line.where(column), found, expected)


def known_rows(
    lines: Sequence[Read[Step]], floor: Floor, key: Callable[[Step], tuple[str, ...]]
) -> list[Read[Step]]:
    """Check orders, operations and repeats; give the rows that can be checked on."""
    seen: dict[tuple[str, ...], Read[Step]] = {}
    good: list[Read[Step]] = []
    for line in lines:
        earlier = seen.setdefault(key(line.value), line)
        if earlier is not line:
            expected = f"it once (first in {earlier.file}, {earlier.place})"
            found = f"{' '.join(map(quoted, key(line.value)))} again"
            floor.fault(line, "operation", found, expected)
        elif _known(line, floor):
            good.append(line)
    return good


def _known(line: Read[Step], floor: Floor) -> bool:
    order, operation = line.value.order, line.value.operation
    if floor.orders is not None and order not in floor.orders:
        expected = one_of(order, floor.orders, "an order of the book")
        floor.fault(line, "order", quoted(order), expected)
        return False
    routing = floor.routings.get(order)
    codes = [routed.code for routed in routing.operations] if routing else []
    if routing is None and order in floor.models:
        codes = every_code(floor.models[order])
    if not codes:
        return False
    if operation not in codes:
        expected = one_of(operation, codes, "an operation of this boat")
        floor.fault(line, "operation", quoted(operation), expected)
        return False
    return routing is not None


def every_code(model: BoatModel) -> list[str]:
    """Codes of all steps that a boat of the model may have, whatever was ordered."""
    colors = (color_chain(graphic).steps for graphic in model.graphics)
    steps = chain(model.operations, *colors)
    return list(dict.fromkeys(step.code for step in steps))


def check_arrivals(lines: Sequence[Read[ArrivalRow]], floor: Floor) -> None:
    """Check what is to arrive, and what has."""
    as_of = floor.yard.yard.as_of
    known_rows(lines, floor, lambda row: (row.order, row.operation, row.item))
    for line in lines:
        row = line.value
        if row.expected is None and row.confirmed is None and row.arrived is None:
            expected = "a date in expected, confirmed or arrived"
            floor.fault(line, "expected", "no date at all", expected)
        if row.arrived is not None and row.arrived > as_of:
            expected = f"a date that is not after {as_of}, the first day planned"
            floor.fault(line, "arrived", str(row.arrived), expected)


def check_locks(
    lines: Sequence[Read[LockRow]], begun: Mapping[tuple[str, str], str], floor: Floor
) -> None:
    """Check what the planner has pinned."""
    for line in known_rows(lines, floor, lambda row: (row.order, row.operation)):
        row = line.value
        step = floor.step(row.order, row.operation)
        assert step is not None
        _check_state(line, begun.get((row.order, row.operation)), floor)
        if row.start is None and row.mold is None and not row.people:
            expected = "a start, a mold or people to pin"
            floor.fault(line, "start", "nothing to pin", expected)
        _check_start(line, step, floor)
        check_people(line, line.value.people, step, floor)
        if row.people and not step.crew_min <= len(row.people):
            expected = f"at least {step.crew_min} people, the smallest crew"
            floor.fault(line, "people", f"{len(row.people)} people", expected)
        _check_leads(line, step, floor.yard.yard, floor)
        if row.mold is not None:
            _check_locked_mold(line, row.mold, floor)


def _check_leads(
    line: Read[LockRow], step: RoutingOperation, yard: Yard, floor: Floor
) -> None:
    """Check that enough of the people who are pinned have the skill in full."""
    leads = yard.least_leads(step.skill, step.leads_min)
    if not any(step.skill in one.skills for one in yard.people):
        return  # said once, of the skill
    known = {one.id: one for one in yard.people}
    named = [known[name] for name in line.value.people if name in known]
    full = sum(step.skill in one.skills for one in named)
    if full < leads and len(named) == len(line.value.people) > 0:
        expected = f"at least {leads} with the skill '{step.skill}' in full"
        found = f"{full} of {len(named)} people"
        floor.fault(line, "people", found, expected)


def check_people(
    line: Read[InHandRow] | Read[LockRow],
    people: Sequence[str],
    step: RoutingOperation,
    floor: Floor,
) -> None:
    """Check that named people exist, have the skill and are not too many."""
    if not people:
        return
    known = {person.id: person for person in floor.yard.yard.people}
    names = floor.yard.known("people", known)
    for name in people:
        if name not in names:
            expected = one_of(name, names, "a person of the yard")
            floor.fault(line, "people", quoted(name), expected)
        elif (
            step.skill is not None
            and name in known
            and step.skill not in known[name].counts_for
        ):
            expected = f"people with the skill '{step.skill}'"
            floor.fault(line, "people", f"'{name}', who has not", expected)
    if len(set(people)) < len(people):
        floor.fault(line, "people", "a person twice", "each person once")
    if len(people) > step.crew_max:
        expected = f"at most {step.crew_max} people, the largest crew"
        floor.fault(line, "people", f"{len(people)} people", expected)


def _check_state(line: Read[LockRow], state: str | None, floor: Floor) -> None:
    row = line.value
    if state == "done":
        found = f"'{row.operation}', which is done"
        floor.fault(line, "operation", found, "an operation that goes on")
    elif state == "started" and (row.start is not None or row.mold is not None):
        found = f"'{row.operation}', which has begun"
        expected = "nothing but people to pin on work that has begun"
        floor.fault(line, "operation", found, expected)


def _check_start(line: Read[LockRow], step: RoutingOperation, floor: Floor) -> None:
    start, yard = line.value.start, floor.yard.yard
    if start is None:
        return
    if start.date() < yard.as_of:
        expected = f"a start from {yard.as_of} on, the first day planned"
        floor.fault(line, "start", f"{start:%Y-%m-%d %H:%M}", expected)
    elif start.minute % yard.tick_minutes:
        expected = f"a time on a tick of {yard.tick_minutes} minutes"
        floor.fault(line, "start", f"{start:%H:%M}", expected)
    elif not _is_open(line, step, yard):
        expected = "a start in the open time of the operation's calendar"
        if step.lead_days is not None:
            expected = "the last tick of a working day, when outside work leaves"
        if step.slots is not None:
            expected += f", in a slot of '{step.slots}'"
        floor.fault(line, "start", f"{start:%Y-%m-%d %H:%M}", expected)


def _is_open(line: Read[LockRow], step: RoutingOperation, yard: Yard) -> bool:
    start = line.value.start
    known = {skill.id for skill in yard.skills}
    if start is None or (step.skill is not None and step.skill not in known):
        return True
    calendars = {calendar.id: calendar for calendar in yard.calendars}
    calendar = calendars.get(calendar_of(step, yard))
    if calendar is None:
        return True
    zone = ZoneInfo(yard.time_zone)
    midnight = local_instant(start.date(), time(0), zone)
    ticks = 2 * 24 * 60 // yard.tick_minutes
    axis = Axis(midnight, yard.tick_minutes, ticks, yard.time_zone)
    tick = axis.tick_floor(local_instant(start.date(), start.time(), zone))
    opened = expand(calendar, axis)[0]
    if step.skill is not None:
        opened += overtime_spans(calendar, start.date(), yard, axis)
    if step.lead_days is not None:
        opened = day_ends(opened, axis)
    slots = calendars.get(step.slots or "")
    wanted = [opened] if slots is None else [opened, expand(slots, axis)[0]]
    return all(any(one <= tick < end for one, end in spans) for spans in wanted)


def _check_locked_mold(line: Read[LockRow], mold: str, floor: Floor) -> None:
    row = line.value
    model = floor.models[row.order]
    ends = [(part.id, {part.mold_from, part.mold_to}) for part in model.parts]
    parts = [part for part, operations in ends if row.operation in operations]
    if not parts:
        takers = listed({part.mold_from for part in model.parts if part.mold_from})
        expected = f"a mold only on an operation that takes or leaves one ({takers})"
        floor.fault(line, "mold", quoted(mold), expected)
        return
    check_mold(line, mold, parts, floor)


def check_mold(
    line: Read[InHandRow] | Read[LockRow],
    mold: str,
    parts: Sequence[str],
    floor: Floor,
) -> None:
    """Check that a mold exists and makes one of these parts of the order's model."""
    model = floor.models[line.value.order]
    molds = floor.yard.yard.molds
    names = floor.yard.known("molds", (one.id for one in molds))
    fitting = {m.id for m in molds if m.part in parts and model.id in m.models}
    if mold not in names:
        expected = one_of(mold, fitting or names, "a mold of the yard")
        floor.fault(line, "mold", quoted(mold), expected)
    elif mold not in fitting and floor.yard.whole("molds"):
        what = f"a mold for {listed(parts)} of {model.id}"
        expected = one_of(mold, fitting, what)
        floor.fault(line, "mold", quoted(mold), expected)
