"""Numbers that people read and quote: of loads, plans, entries, decisions, jobs."""

from __future__ import annotations

import json

from sqlalchemy import Connection, func, select

from models.store.schema import (
    floor_entries,
    jobs,
    loads,
    log,
    publications,
    reservations,
    standards,
)

RESTORED = "restore"  # action of the log entry of a restore
_NUMBERED = {
    "loads": loads,
    "publications": publications,
    "floor_entries": floor_entries,
    "standards": standards,
    "reservations": reservations,
    "jobs": jobs,
}


def next_number(connection: Connection, table: str) -> int:
    """The number after the newest one ever given.

    A restore takes numbers back; they are never given again, or two people could mean
    different things by one number. Its entry in the log says how far they had come.
    """
    return max(newest_number(connection, table), _given_before(connection, table)) + 1


def newest_number(connection: Connection, table: str) -> int:
    """The newest number that the store holds; 0 if there is none."""
    query = select(func.max(_NUMBERED[table].c.number))
    return connection.execute(query).scalar_one() or 0


def numbers_given(connection: Connection) -> dict[str, int]:
    """How far each kind of number has come, for the log entry of a restore."""
    return {name: next_number(connection, name) - 1 for name in _NUMBERED}


def _given_before(connection: Connection, table: str) -> int:
    restores = select(log.c.details).where(log.c.action == RESTORED)
    newest = restores.order_by(log.c.entry.desc()).limit(1)
    found = connection.execute(newest).scalar_one_or_none()
    # A restore by an earlier version does not know of every table.
    return json.loads(found)["numbers"].get(table, 0) if found is not None else 0
