"""The orders' part of the problem: operations, waits and parts from the routings.

Orders of the same model, options, graphics, rework, re-preparation and share of
learning have one template in common, worked out once.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from models.boat import BoatModel, RoutingWait
from models.boat import Part as ModelPart
from models.errors import DataFaults, Fault
from models.hours import routed_hours
from models.job_orders import job_model, job_order
from models.learning import boat_numbers, hours_share, learned
from models.orders import Book, Order
from models.outside import day_ends_name
from models.routing import RoutedOperation, route
from models.yard import Yard
from scheduler import problem

ROUNDING = 1e-9  # hours and minutes; keeps a float's last bit from adding a minute


@dataclass(frozen=True, slots=True)
class Template:
    """What every order of one model, options, graphics and learning has in common.

    `steps` come in a topological order of the waits; `hours` stand beside them.
    """

    steps: tuple[RoutedOperation, ...]
    hours: tuple[float, ...]
    calendars: tuple[str, ...]
    demands: tuple[tuple[tuple[str, int], ...], ...]
    waits: tuple[RoutingWait, ...]
    parts: tuple[ModelPart, ...]
    reprep: frozenset[str]  # steps that stand for a missed maximum

    @property
    def codes(self) -> tuple[str, ...]:
        """The steps' codes, in their order."""
        return tuple(step.code for step in self.steps)


Known = dict[tuple[object, ...], Template]
"""Templates of orders by what they depend on, all of one yard and its models."""


def order_templates(book: Book, known: Known | None = None) -> dict[str, Template]:
    """Give the template of each order and other job, by its name.

    Those in `known` are taken from there, and new ones put in.
    """
    seen: Known = {} if known is None else known
    out: dict[str, Template] = {}
    numbers = boat_numbers(book.models, book.orders)
    for order in book.orders:
        learning = book.models[order.model].learning
        share = hours_share(learning, numbers[order.order])
        chosen = (order.model, frozenset(order.options), order.graphics)
        key = (*chosen, order.rework, order.kept, order.reprep, share)
        if key not in seen:
            model = learned(book.models[order.model], numbers[order.order])
            seen[key] = _template(book, order, model)
        out[order.order] = seen[key]
    for job in book.jobs:
        own = job_order(job, book.yard)
        out[job.job] = _template(book, own, job_model(job, book.yard))
    return out


def _template(book: Book, order: Order, model: BoatModel) -> Template:
    routing = route(model, order)
    steps = _in_order(routing.operations, routing.waits, model.id)
    codes = {step.code for step in steps}
    touched = {part for step in steps for part in step.step.parts}
    return Template(
        steps=steps,
        hours=tuple(
            routed_hours(step, routing.quantities, book.yard.allowances)
            for step in steps
        ),
        calendars=tuple(_calendar(step, book.yard) for step in steps),
        demands=tuple(_demands(step, book.yard) for step in steps),
        waits=routing.waits,
        reprep=frozenset(one.reprep for one in routing.waits if one.reprep),
        parts=tuple(
            part
            for part in model.parts
            if part.id in touched or {part.mold_from, part.place_from} & codes
        ),
    )


def _in_order(
    steps: tuple[RoutedOperation, ...], waits: tuple[RoutingWait, ...], model: str
) -> tuple[RoutedOperation, ...]:
    """Sort steps so that every wait points forward, else as the routing lists them."""
    number = {step.code: index for index, step in enumerate(steps)}
    followers: dict[str, list[str]] = {step.code: [] for step in steps}
    missing = dict.fromkeys(number, 0)
    for wait in waits:
        followers[wait.before].append(wait.after)
        missing[wait.after] += 1
    ready = [number[code] for code, count in missing.items() if count == 0]
    heapq.heapify(ready)
    out: list[RoutedOperation] = []
    while ready:
        step = steps[heapq.heappop(ready)]
        out.append(step)
        for after in followers[step.code]:
            missing[after] -= 1
            if missing[after] == 0:
                heapq.heappush(ready, number[after])
    if len(out) < len(steps):
        stuck = sorted(code for code, count in missing.items() if count)
        cycle = Fault(
            f"boats/{model}.toml",
            "waits",
            f"a cycle through {', '.join(stuck)}",
            "none",
        )
        raise DataFaults([cycle])
    return tuple(out)


def _calendar(step: RoutedOperation, yard: Yard) -> str:
    calendars = {skill.id: skill.calendar for skill in yard.skills}
    own = step.step.calendar or calendars.get(step.step.skill or "")
    calendar = own or yard.delivery_calendar
    return calendar if step.step.lead_days is None else day_ends_name(calendar)


def _demands(step: RoutedOperation, yard: Yard) -> tuple[tuple[str, int], ...]:
    """List the stations with a capacity that a step takes, its own by default once."""
    amounts = {step.step.station: 1}
    listed: dict[str, int] = {}
    for station, amount in step.step.demands:
        listed[station] = listed.get(station, 0) + amount
    amounts.update(listed)
    limited = {one.id for one in yard.stations if one.capacity is not None}
    return tuple((name, amount) for name, amount in amounts.items() if name in limited)


def build_operation(
    order: str,
    template: Template,
    index: int,
    earliest: int,
    remaining: float | None,
    outside_minutes: int | None = None,
) -> problem.Operation:
    """Make one operation of an order; `remaining` is what is left of a started one.

    `outside_minutes` is the time on its calendar of an operation done outside.
    """
    step = template.steps[index].step
    manned = step.skill is not None
    minutes = outside_minutes
    if not manned and minutes is None:
        hours = step.duration_hours if remaining is None else remaining
        minutes = minutes_up(hours or 0.0)
    return problem.Operation(
        id=f"{order}/{step.code}",
        order=order,
        parts=step.parts,
        code=step.code,
        station=step.station,
        calendar=template.calendars[index],
        skill=step.skill,
        crew_min=step.crew_min if manned else 0,
        crew_max=step.crew_max if manned else 0,
        labor_hours=template.hours[index] if manned else 0.0,
        remaining_hours=remaining,
        duration_minutes=minutes,
        one_go=step.one_go,
        exclusive_part=step.exclusive_part,
        demands=template.demands[index],
        earliest=earliest,
        leads_min=step.leads_min,
        setup_family=step.setup_family,
        slots=step.slots,
        only_if=_only_if(order, template, step.code),
    )


def _only_if(order: str, template: Template, code: str) -> str | None:
    """The id of the wait that a step is the re-preparation of."""
    if code not in template.reprep:
        return None
    names = wait_names(order, template)
    return next(name for name, wait in names if wait.reprep == code)


def wait_names(order: str, template: Template) -> Iterator[tuple[str, RoutingWait]]:
    """Give each wait of an order its id, which says what waits for what."""
    seen: dict[str, int] = {}
    for wait in template.waits:
        name = f"{order}/{wait.before}>{wait.after}/{wait.kind}"
        seen[name] = seen.get(name, 0) + 1
        yield name if seen[name] == 1 else f"{name}/{seen[name]}", wait


def build_waits(
    order: str, template: Template, rounding: Mapping[tuple[str, str], int]
) -> list[problem.Wait]:
    """Make the waits of one order.

    `rounding` gives, by operation and end, the minutes by which the tick of a fact is
    later than the fact; a maximum is shortened by them, so that it is never exceeded.
    """
    out: list[problem.Wait] = []
    calendar_of = dict(zip(template.codes, template.calendars, strict=True))
    for name, wait in wait_names(order, template):
        sheet, most = wait.data_sheet_min_hours, wait.max_hours
        calendar = wait.calendar or calendar_of[wait.after]
        late = rounding.get((f"{order}/{wait.before}", wait.before_of), 0)
        out.append(
            problem.Wait(
                id=name,
                kind=wait.kind,
                before=f"{order}/{wait.before}",
                after=f"{order}/{wait.after}",
                before_of=wait.before_of,
                after_of=wait.after_of,
                min_minutes=minutes_up(wait.min_hours),
                data_sheet_min_minutes=None if sheet is None else minutes_up(sheet),
                max_minutes=None if most is None else minutes_down(most) - late,
                clock=wait.clock,
                calendar=calendar if wait.clock == "work" else None,
                activation_kj_per_mol=wait.activation_kj_per_mol,
                reference_celsius=wait.reference_celsius,
                reprep=None if wait.reprep is None else f"{order}/{wait.reprep}",
            )
        )
    return out


def build_parts(order: str, template: Template) -> list[problem.Part]:
    """Make the parts of one order; what an option leaves out is not occupied."""
    codes = set(template.codes)

    def both(first: str | None, last: str | None) -> tuple[str | None, str | None]:
        if first in codes and last in codes:
            return f"{order}/{first}", f"{order}/{last}"
        return None, None

    out: list[problem.Part] = []
    for part in template.parts:
        mold_from, mold_to = both(part.mold_from, part.mold_to)
        place_from, place_to = both(part.place_from, part.place_to)
        out.append(
            problem.Part(
                order=order,
                part=part.id,
                mold_from=mold_from,
                mold_to=mold_to,
                place_kind=None if place_from is None else part.place_kind,
                place_from=place_from,
                place_to=place_to,
                place_to_of=part.place_to_of,
            )
        )
    return out


def minutes_up(hours: float) -> int:
    """Whole minutes of some hours, rounded up."""
    return math.ceil(hours * 60 - ROUNDING)


def minutes_down(hours: float) -> int:
    """Whole minutes of some hours, rounded down."""
    return math.floor(hours * 60 + ROUNDING)
