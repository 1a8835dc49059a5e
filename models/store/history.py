"""What became of one order: its versions, and its dates in each published plan."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, select

from models.errors import UsageError
from models.loading.faults import one_of
from models.recording.entries import FloorEntry
from models.store.changes import ADDED, WITHDRAWN, order_details
from models.store.documents import OrderRecord, from_text
from models.store.floor_entries import warnings_in
from models.store.plans import publications_of, read_document
from models.store.schema import floor_entries, loads, log, order_versions
from models.store.transactions import Store, read


@dataclass(frozen=True, slots=True)
class OrderEvent:
    """Something that happened to an order.

    `source` is "load", "plan" or "entry" (from the floor) with its `number`; `details`
    says in words what is new.
    """

    entry: int  # of the log
    at: datetime
    who: str
    why: str
    source: str
    number: int
    details: tuple[str, ...]


def order_history(store: Store, order: str) -> list[OrderEvent]:
    """Everything that the store knows of an order, oldest first.

    Raises
    ------
    UsageError
        If no such order was ever loaded.
    """

    def work(connection: Connection) -> list[OrderEvent]:
        versions = list(_versions(connection, order))
        if not versions:
            known = connection.execute(select(order_versions.c.order_id).distinct())
            near = one_of(order, list(known.scalars()), "an order")
            raise UsageError(f"no order {order!r} in {store.shown}: expected {near}")
        events = (*versions, *_plans(connection, order), *_floor(connection, order))
        return sorted(events, key=lambda one: (one.entry, one.number))

    return read(store, work)


def _versions(connection: Connection, order: str) -> Iterator[OrderEvent]:
    joined = order_versions.join(loads, order_versions.c.load == loads.c.number)
    query = (
        select(order_versions, log)
        .select_from(joined.join(log, loads.c.entry == log.c.entry))
        .where(order_versions.c.order_id == order)
        .order_by(order_versions.c.version)
    )
    before: OrderRecord | None = None
    for row in connection.execute(query):
        record = None if row.withdrawn else from_text(OrderRecord, row.content)
        if record is None:
            details: tuple[str, ...] = (WITHDRAWN,)
        elif before is None:
            promised = record.order.promised or "no date"
            details = (f"{ADDED}, {record.order.model}, promised {promised}",)
        else:
            details = tuple(order_details(before, record))
        before = record
        yield _event(row, "load", row.load, details)


def _plans(connection: Connection, order: str) -> Iterator[OrderEvent]:
    """Yield its dates where they differ from those of the plan published before."""
    before: tuple[str, ...] | None = None
    for publication in publications_of(connection):
        details = _dates(read_document(connection, publication.plan), order)
        if details != before and (details or before):
            yield OrderEvent(
                publication.entry,
                publication.at,
                publication.who,
                publication.why,
                "plan",
                publication.number,
                details or ("not in the plan",),
            )
        before = details


def _floor(connection: Connection, order: str) -> Iterator[OrderEvent]:
    joined = floor_entries.join(log, floor_entries.c.entry == log.c.entry)
    query = select(floor_entries, log).select_from(joined)
    rows = query.where(floor_entries.c.order_id == order)
    for row in connection.execute(rows.order_by(floor_entries.c.number)):
        told = from_text(FloorEntry, row.content).text.removeprefix(f"{order} ")
        instead = (f"instead of entry {row.corrects}",) if row.corrects else ()
        known = warnings_in(row.details, row.number)
        warnings = (f"WARNING: {one}" for one in known)
        yield _event(row, "entry", row.number, (told, *instead, *warnings))


def _dates(document: dict[str, Any], order: str) -> tuple[str, ...]:
    asked = {one["order"]: one for one in document["problem"]["orders"]}
    for one in document["answer"]["orders"]:
        if one["order"] == order:
            promised = asked[order]["promised"] or f"{one['proposed']} (proposed)"
            late = one["tardy_days"]
            days = "working day" if late == 1 else "working days"
            told = f"{late} {days} late" if late else "in time"
            return (f"promised {promised}", f"finish {one['finish'][:10]}", told)
    return ()


def _event(row: Any, source: str, number: int, details: tuple[str, ...]) -> OrderEvent:
    at = datetime.fromisoformat(row.at)
    return OrderEvent(row.entry, at, row.who, row.why, source, number, details)
