"""Reading what the floor has recorded."""

from __future__ import annotations

import json
from collections.abc import Collection
from datetime import datetime

from sqlalchemy import ColumnElement, Connection, or_, select

from models.job_orders import work_models
from models.orders import Book
from models.recording.entries import REWORK, FloorEntry, Recorded
from models.recording.in_the_yard import ends_of
from models.store.documents import from_text, to_text
from models.store.schema import floor_entries, log


def read_records(
    connection: Connection, orders: Collection[str] | None = None
) -> list[Recorded]:
    """Every entry ever written, or those of some orders, inside a transaction."""
    joined = floor_entries.join(log, floor_entries.c.entry == log.c.entry)
    query = select(
        floor_entries, log.c.who, log.c.at, log.c.why, log.c.details
    ).select_from(joined)
    if orders is not None:
        query = query.where(floor_entries.c.order_id.in_(sorted(orders)))
    told: dict[int, dict[int, tuple[str, ...]]] = {}  # by entry of the log
    return [
        Recorded(
            row.number,
            from_text(FloorEntry, row.content),
            row.corrects,
            row.who,
            datetime.fromisoformat(row.at),
            row.why,
            _warnings_once(told, row.entry, row.details).get(row.number, ()),
        )
        for row in connection.execute(query.order_by(floor_entries.c.number))
    ]


def orders_told_of(connection: Connection, numbers: Collection[int]) -> set[str]:
    """The orders of some entries."""
    query = select(floor_entries.c.order_id).where(floor_entries.c.number.in_(numbers))
    return set(connection.execute(query).scalars())


def orders_gone(connection: Connection, book: Book) -> set[str]:
    """Orders whose parts have left every mold and place, by what the floor recorded.

    Found without reading what every boat of past years went through, and on the safe
    side: an order of which something was corrected or worked again is not among them.
    `models.recording.in_the_yard` then looks at the rest.
    """
    ends = {name: ends_of(model) for name, model in work_models(book).items()}
    steps = {operation for own in ends.values() for operation, _ in own}
    asked = or_(
        floor_entries.c.corrects.is_not(None),
        _says("what", REWORK),
        *(_says("operation", one) for one in sorted(steps)),
    )
    told, open_again = set(), set()
    for row in connection.execute(select(floor_entries).where(asked)):
        entry = json.loads(row.content)
        told.add((row.order_id, entry["operation"], entry["what"]))
        if row.corrects is not None or entry["what"] == REWORK:
            open_again.add(row.order_id)
    return {
        name
        for name, own in ends.items()
        if own and name not in open_again and all((name, *end) in told for end in own)
    }


def _says(field: str, value: str) -> ColumnElement[bool]:
    """Whether the document of an entry has a field with this value."""
    text = to_text({field: value})[1:-1]
    return floor_entries.c.content.contains(text, autoescape=True)


def _warnings_once(
    told: dict[int, dict[int, tuple[str, ...]]], entry: int, details: str
) -> dict[int, tuple[str, ...]]:
    """The warnings of an entry of the log, read once: a file makes one of thousands."""
    if entry not in told:
        found = json.loads(details).get("warnings", {})
        told[entry] = {int(number): tuple(rows) for number, rows in found.items()}
    return told[entry]


def warnings_in(details: str, number: int) -> tuple[str, ...]:
    """The warnings of an entry in the details of the log."""
    return tuple(json.loads(details).get("warnings", {}).get(str(number), ()))
