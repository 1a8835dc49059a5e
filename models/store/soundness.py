"""Is a store whole? Every fault as a sentence; and how much it holds."""

from __future__ import annotations

import zlib
from collections.abc import Iterator
from typing import Any

from sqlalchemy import Connection, Row, distinct, func, select, text

from models.store.documents import digest
from models.store.schema import (
    floor_entries,
    jobs,
    loads,
    log,
    order_versions,
    plans,
    publications,
    reservations,
    standards,
    users,
    yard_versions,
)
from models.store.transactions import Store, read


def faults(store: Store) -> list[str]:
    """List what is damaged or half-written; empty for a sound store."""
    return read(store, lambda c: [*_of_file(c), *_of_rows(c)])


def counts(store: Store) -> dict[str, int]:
    """How many of everything a store holds, by what they are called."""
    return read(store, _counts)


def _counts(connection: Connection) -> dict[str, int]:
    held = {
        "loads": loads.c.number,
        "orders": order_versions.c.order_id,
        "published plans": publications.c.number,
        "entries from the floor": floor_entries.c.number,
        "decisions on standards": standards.c.number,
        "reserved slots": reservations.c.order_id,
        "users": users.c.name,
        "planning jobs": jobs.c.number,
        "entries of the log": log.c.entry,
    }
    return {
        name: connection.execute(select(func.count(distinct(column)))).scalar_one()
        for name, column in held.items()
    }


def _of_file(connection: Connection) -> Iterator[str]:
    """SQLite's own checks; PostgreSQL keeps its keys by itself."""
    if connection.dialect.name != "sqlite":
        return
    for (line,) in connection.execute(text("PRAGMA integrity_check")):
        if line != "ok":
            yield f"The file is damaged: {line}."
    for row in connection.execute(text("PRAGMA foreign_key_check")):
        yield f"A row of {row[0]} leads to a row of {row[2]} that is not there."


def _of_rows(connection: Connection) -> Iterator[str]:
    yield from _versions(connection)
    yield from _digests(connection)
    yield from _entries(connection)


def _versions(connection: Connection) -> Iterator[str]:
    orders = select(order_versions.c.order_id, order_versions.c.version)
    people = select(users.c.name, users.c.version)
    work = select(jobs.c.number, jobs.c.version)
    for kind, query in (("Order", orders), ("User", people), ("Job", work)):
        last: dict[object, int] = {}
        rows = connection.execute(query.order_by(*query.selected_columns))
        for name, version in rows:
            if version != last.get(name, 0) + 1:
                yield f"{kind} {name} has no version {last.get(name, 0) + 1}."
            last[name] = version


def _digests(connection: Connection) -> Iterator[str]:
    for row in connection.execute(select(yard_versions)):
        yield from _digest(f"Version {row.version} of the yard", row, row.content)
    for row in connection.execute(select(order_versions)):
        name = f"Version {row.version} of order {row.order_id}"
        yield from _digest(name, row, row.content)
    for row in connection.execute(select(floor_entries)):
        yield from _digest(f"Entry {row.number} from the floor", row, row.content)
    for row in connection.execute(select(standards)):
        yield from _digest(f"Decision {row.number} on a standard", row, row.content)
    for row in connection.execute(select(reservations)):
        yield from _digest(f"Reservation {row.number}", row, row.content)
    for row in connection.execute(select(jobs)):
        yield from _digest(f"Job {row.number}", row, row.content)
    for row in connection.execute(select(plans)):
        try:
            content = zlib.decompress(row.content).decode("utf-8")
        except (zlib.error, ValueError):
            content = ""
        yield from _digest(f"Plan {row.digest[:12]}", row, content)


def _digest(name: str, row: Row[Any], content: str) -> Iterator[str]:
    if digest(content) != row.digest:
        yield f"{name} is not what was written."


def _entries(connection: Connection) -> Iterator[str]:
    """Yield entries without what they tell of, and the other way round."""
    rows = list(connection.execute(select(log).order_by(log.c.entry)))
    numbers = [row.entry for row in rows]
    if numbers != list(range(1, len(numbers) + 1)):
        yield "The log has a gap."
    for actions, table in (
        (("load", "order"), loads),
        (("publish",), publications),
        (("record",), floor_entries),
        (("standard",), standards),
        (("reservation",), reservations),
        (("user",), users),
        (("stop",), jobs),
    ):
        told = {row.entry for row in rows if row.action in actions}
        made = set(connection.execute(select(table.c.entry)).scalars()) - {None}
        for entry in sorted(told ^ made):
            yield f"Entry {entry} of the log and the {table.name} do not agree."
