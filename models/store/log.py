"""The log: who did what, when and why."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import Connection, func, select

from models.store.permission import refuse_unless_allowed
from models.store.schema import log


@dataclass(frozen=True, slots=True)
class Author:
    """Who changes the store, when (an instant) and why (may be empty)."""

    who: str
    at: datetime
    why: str = ""


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the log."""

    number: int
    at: datetime
    who: str
    action: str
    why: str
    details: dict[str, Any]


def append(
    connection: Connection, author: Author, action: str, details: Mapping[str, object]
) -> int:
    """Add an entry and give its number.

    Raises
    ------
    NotAllowed
        If there are users, and the author may not do that.
    """
    refuse_unless_allowed(connection, author.who, action)
    return append_restored(connection, author, action, details)


def append_restored(
    connection: Connection, author: Author, action: str, details: Mapping[str, object]
) -> int:
    """The same for somebody who was allowed by the users before a restore."""
    newest = connection.execute(select(func.max(log.c.entry))).scalar_one()
    number = (newest or 0) + 1
    connection.execute(
        log.insert().values(
            entry=number,
            at=author.at.astimezone(UTC).isoformat(timespec="seconds"),
            who=author.who,
            action=action,
            why=author.why,
            details=json.dumps(details, sort_keys=True, ensure_ascii=False),
        )
    )
    return number


def entries(connection: Connection) -> list[Entry]:
    """Every entry, oldest first."""
    rows = connection.execute(select(log).order_by(log.c.entry))
    return [
        Entry(
            row.entry,
            datetime.fromisoformat(row.at),
            row.who,
            row.action,
            row.why,
            json.loads(row.details),
        )
        for row in rows
    ]
