"""What is in the yard's calendar: deliveries, demolds and tests of a plan.

An event keeps its identity from plan to plan: it is made from the order and the step,
so that importing a later plan's calendar moves it. Its sequence number is the second at
which its plan was made, counted from 2020, and so grows with every later plan. Without
a memory nobody knows what an earlier calendar held: an event of a withdrawn order stays
until somebody deletes it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING
from uuid import NAMESPACE_URL, uuid5

from models.cautions import DEFER
from scheduler.sheets.calendar_file import Event
from scheduler.sheets.releases import releases_of
from scheduler.sheets.wording import (
    RELEASES_MOVE,
    caution_texts,
    moment,
    plan_text,
    release_texts,
)

if TYPE_CHECKING:
    from scheduler.plan import OrderResult
    from scheduler.sheets.floor import Floor

SEQUENCE_FROM = datetime(2020, 1, 1, tzinfo=UTC)
# A space of names of our own; changing it doubles every event that was imported.
_NAMESPACE = uuid5(NAMESPACE_URL, "urn:hullpace:calendar")


def calendar_events(
    floor: Floor, orders: Collection[str] | None = None
) -> Iterator[Event]:
    """Deliveries, demolds and tests of some orders (all by default), by time."""
    for result in floor.plan.answer.orders:
        if orders is None or result.order in orders:
            yield _delivery(floor, result)
    rows = sorted(floor.planned.values(), key=lambda row: (row.start, row.operation))
    for row in rows:
        name = row.operation
        if orders is not None and floor.operations[name].order not in orders:
            continue
        if name in floor.demolds:
            yield _step(floor, name, "DEMOLD")
        elif floor.is_gate(name):
            yield _step(floor, name, "TEST")


def event_uid(order: str, what: str) -> str:
    """The lasting identity of an event; `what` is a step's code, or `delivery`."""
    return str(uuid5(_NAMESPACE, f"{order}\n{what}"))


def sequence_of(made: datetime) -> int:
    """A number that is greater for a plan that was made later (whole seconds)."""
    return max(0, int((made - SEQUENCE_FROM).total_seconds()))


def _delivery(floor: Floor, result: OrderResult) -> Event:
    order = floor.orders[result.order]
    finish = moment(floor, result.finish)
    last = floor.plan.problem.axis.local(max(0, result.finish - 1)).date()
    given = order.promised or result.proposed
    model = floor.names.model(order.model)
    words = "promised" if order.promised else "proposed"
    late = order.promised is not None and result.tardy_days > 0
    verb = "Job done" if floor.is_other_job(order.order) else "Delivery"
    summary = f"{verb} {result.order}, {model} ({words if given else 'planned'})"
    told = [f"Planned finish {finish} ({floor.plan.problem.axis.zone_name})."]
    if late:
        summary += f": {result.tardy_days} working days late as planned"
        told.append("The plan does not keep this promise.")
    if result.order in floor.names.customers:
        told.append(floor.whose(result.order))
    return _event(
        floor,
        uid=event_uid(result.order, "delivery"),
        begins=date.fromisoformat(given) if given else last,
        ends=None,
        summary=summary,
        told=told,
        location="",
        category="DELIVERY",
        status="CONFIRMED" if order.promised and not late else "TENTATIVE",
    )


def _step(floor: Floor, name: str, category: str) -> Event:
    operation, row = floor.operations[name], floor.planned[name]
    axis = floor.plan.problem.axis
    fact = floor.is_done(name)
    told = [] if fact else release_texts(floor, name, releases_of(floor, name))
    if told:
        told.append(RELEASES_MOVE)
    told += caution_texts(floor.cautions(name)) or [DEFER]
    model = floor.names.model(floor.model(name))
    return _event(
        floor,
        uid=event_uid(operation.order, operation.code),
        begins=axis.instant(row.start),
        ends=axis.instant(row.finish),
        summary=f"{floor.name(name)}, {operation.order}, {model}",
        told=told,
        location=", ".join(floor.where(name)),
        category=category,
        status="CONFIRMED" if fact else "TENTATIVE",
    )


def _event(
    floor: Floor,
    uid: str,
    begins: datetime | date,
    ends: datetime | None,
    summary: str,
    told: list[str],
    location: str,
    category: str,
    status: str,
) -> Event:
    """An event of the plan, which says when it was made."""
    made = floor.made
    return Event(
        uid=uid,
        sequence=sequence_of(made),
        changed=made,
        begins=begins,
        ends=ends,
        summary=summary,
        description="\n".join([*told, f"{plan_text(floor)}."]),
        location=location,
        category=category,
        status=status,
    )
