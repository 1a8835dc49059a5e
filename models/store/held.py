"""What the store holds now: the newest of everything that was loaded."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Row, and_, func, select

from models.errors import Overtaken
from models.store.documents import Loaded, OrderRecord, YardRecord, from_text
from models.store.schema import loads, log, order_versions, yard_versions
from models.store.transactions import Store, read

MOST_NAMED = 5


@dataclass(frozen=True, slots=True)
class State:
    """What the store holds now: everything loaded, by whom and when last."""

    number: int  # of the last load; 0 before the first
    loaded: Loaded | None
    who: str = ""
    at: datetime | None = None


def current(store: Store) -> State:
    """Read what was loaded and is not withdrawn."""
    return read(store, read_state)


def read_state(connection: Connection) -> State:
    """Read what holds now, inside a transaction."""
    newest = loads.join(log, loads.c.entry == log.c.entry).join(
        yard_versions, loads.c.yard_version == yard_versions.c.version
    )
    row = connection.execute(
        select(loads, log.c.who, log.c.at, yard_versions.c.content)
        .select_from(newest)
        .order_by(loads.c.number.desc())
        .limit(1)
    ).first()
    if row is None:
        return State(0, None)
    orders = {
        one.order_id: from_text(OrderRecord, one.content)
        for one in newest_versions(connection)
        if not one.withdrawn
    }
    yard = from_text(YardRecord, row.content)
    loaded = Loaded(yard, orders, json.loads(row.sources))
    return State(row.number, loaded, row.who, datetime.fromisoformat(row.at))


def read_gone(connection: Connection) -> list[OrderRecord]:
    """Orders that are in the book no more, as they were last; by their names."""
    return [
        from_text(OrderRecord, one.content)
        for one in newest_versions(connection)
        if one.withdrawn
    ]


def newest_versions(connection: Connection) -> list[Row[Any]]:
    """The newest version of every order, withdrawn ones included; by their names."""
    newest = (
        select(order_versions.c.order_id, func.max(order_versions.c.version).label("v"))
        .group_by(order_versions.c.order_id)
        .subquery()
    )
    here = and_(
        order_versions.c.order_id == newest.c.order_id,
        order_versions.c.version == newest.c.v,
    )
    query = select(order_versions).join(newest, here)
    return list(connection.execute(query.order_by(order_versions.c.order_id)))


def yard_version(connection: Connection) -> int:
    """The newest version of the yard; 0 if there is none."""
    newest = select(func.max(yard_versions.c.version))
    return connection.execute(newest).scalar_one() or 0


def refuse_overtaken(
    connection: Connection, touched: Mapping[str, int], after: int, again: str
) -> None:
    """Refuse to replace what was changed after a load.

    Parameters
    ----------
    touched : mapping
        What would be replaced, each with the load that wrote it last.
    after : int
        The load that the change was compared with.
    again : str
        What became of it, and how to see what the store holds now.

    Raises
    ------
    Overtaken
        If anything of it is newer.
    """
    later = {name: load for name, load in touched.items() if load > after}
    if not later:
        return
    number = max(later.values())
    entry = log.join(loads, loads.c.entry == log.c.entry)
    row = connection.execute(
        select(log.c.who, log.c.at).select_from(entry).where(loads.c.number == number)
    ).one()
    names = sorted(later)
    more = f" and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else ""
    raise Overtaken(
        f"since load {after}, {', '.join(names[:MOST_NAMED])}{more} changed; last by "
        f"{row.who} in load {number} ({row.at[:16].replace('T', ' ')} UTC). {again}"
    )
