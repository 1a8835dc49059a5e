"""Reading what the floor has recorded."""

from __future__ import annotations

import json
from datetime import datetime

from sqlalchemy import Connection, select

from models.recording.entries import FloorEntry, Recorded
from models.store.documents import from_text
from models.store.schema import floor_entries, log


def read_records(connection: Connection) -> list[Recorded]:
    """Every entry ever written, inside a transaction."""
    joined = floor_entries.join(log, floor_entries.c.entry == log.c.entry)
    query = select(
        floor_entries, log.c.who, log.c.at, log.c.why, log.c.details
    ).select_from(joined)
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
