"""Taking files in: one transaction, new versions of what changed, nothing twice."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Row, and_, func, select

from models.errors import ChangeRefused, Overtaken, UsageError
from models.store.changes import (
    ADDED,
    CHANGED,
    WITHDRAWN,
    Change,
    changes_between,
    of_yard,
)
from models.store.documents import (
    Loaded,
    OrderRecord,
    YardRecord,
    digest,
    from_text,
    to_text,
)
from models.store.dropped import refuse_dropped
from models.store.log import Author, append
from models.store.numbering import next_number
from models.store.schema import (
    floor_entries,
    loads,
    log,
    order_versions,
    yard_versions,
)
from models.store.transactions import Store, read, write

_MOST_NAMED = 5
_AGAIN = (
    "Nothing was loaded. See what the store holds now against your files: "
    "hullpace load --dry-run"
)


@dataclass(frozen=True, slots=True)
class State:
    """What the store holds now: everything loaded, by whom and when last."""

    number: int  # of the last load; 0 before the first
    loaded: Loaded | None
    who: str = ""
    at: datetime | None = None


@dataclass(frozen=True, slots=True)
class LoadResult:
    """What a load did, or would do.

    `number` is the store's load afterwards. `done` is False where something that the
    store holds would be changed and nobody said which load that was meant for.
    """

    base: State
    number: int
    changes: tuple[Change, ...]
    done: bool


def current(store: Store) -> State:
    """Read what was loaded and is not withdrawn."""
    return read(store, read_state)


def load(store: Store, files: Loaded, author: Author, after: int | None) -> LoadResult:
    """Take in what was read from files, whole or not at all.

    Parameters
    ----------
    files : Loaded
        All orders of the yard: one that the store holds and the files do not is
        withdrawn.
    author : Author
        Who loads, when, and why.
    after : int or None
        The load that the files were compared with. Without it, only additions are
        made.

    Raises
    ------
    Overtaken
        If something that would be changed has changed since `after`.
    ChangeRefused
        If options or graphics change of an order on which the floor has recorded work.
    DataFaults
        If the files lack a boat with a part in a mold.
    UsageError
        If the store has never seen the load `after`.
    """

    def work(connection: Connection) -> LoadResult:
        base = read_state(connection)
        _refuse_unknown(connection, store, after)
        kept = with_changed_work(base.loaded, files)
        changes = changes_between(base.loaded, kept)
        old = base.loaded.sources if base.loaded is not None else None
        if not changes and old == files.sources:
            return LoadResult(base, base.number, changes, True)
        touched = _touched(connection, base, changes)
        _refuse_begun(connection, base.loaded, kept, touched)
        refuse_dropped(connection, base.loaded, kept)
        if touched and after is None:
            return LoadResult(base, base.number, changes, False)
        if after is not None:
            refuse_overtaken(connection, touched, after, _AGAIN)
        number = _write(connection, base, kept, changes, author)
        return LoadResult(base, number, changes, True)

    return write(store, work)


def with_changed_work(base: Loaded | None, files: Loaded) -> Loaded:
    """The files, with what changes of their orders have added: no file says that."""
    if base is None:
        return files
    orders = dict(files.orders)
    for name in orders.keys() & base.orders.keys():
        old, record = base.orders[name].order, orders[name]
        order = replace(record.order, rework=old.rework, kept=old.kept)
        orders[name] = replace(record, order=order)
    return replace(files, orders=orders)


def _refuse_unknown(connection: Connection, store: Store, after: int | None) -> None:
    if not after:
        return
    known = select(loads.c.number).where(loads.c.number == after)
    if connection.execute(known).first() is None:
        raise UsageError(
            f"--after {after}: {store.shown} has no such load; it may have been "
            "restored: compare again with hullpace load --dry-run"
        )


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


def _refuse_begun(
    connection: Connection, base: Loaded | None, files: Loaded, touched: Iterable[str]
) -> None:
    """Refuse other options for a boat that the floor works on: files know no more."""
    if base is None:
        return
    told = set(connection.execute(select(floor_entries.c.order_id)).scalars())
    names = [
        name
        for name in sorted(told.intersection(touched))
        if name in files.orders
        and name in base.orders
        and _choice(base.orders[name]) != _choice(files.orders[name])
    ]
    if names:
        more = f" and {len(names) - _MOST_NAMED} more" if names[_MOST_NAMED:] else ""
        raise ChangeRefused(
            f"the floor has recorded work on {', '.join(names[:_MOST_NAMED])}{more}, "
            "whose model, options or graphics would change. Nothing was loaded. "
            f"What that comes to: hullpace order change {names[0]} --options A;B"
        )


def _choice(record: OrderRecord) -> tuple[object, ...]:
    order = record.order
    return order.model, frozenset(order.options), order.graphics


def _touched(
    connection: Connection, base: State, changes: tuple[Change, ...]
) -> dict[str, int]:
    """What the changes would replace, each with the load that wrote it last."""
    if base.loaded is None:
        return {}
    written = {row.order_id: row.load for row in newest_versions(connection)}
    touched = {
        one.id: written[one.id]
        for one in changes
        if not of_yard(one) and one.id in written
    }
    if any(of_yard(one) for one in changes):
        version = yard_version(connection)
        first = select(func.min(loads.c.number)).where(loads.c.yard_version == version)
        touched["the yard"] = connection.execute(first).scalar_one()
    return touched


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
    more = f" and {len(names) - _MOST_NAMED} more" if len(names) > _MOST_NAMED else ""
    raise Overtaken(
        f"since load {after}, {', '.join(names[:_MOST_NAMED])}{more} changed; last by "
        f"{row.who} in load {number} ({row.at[:16].replace('T', ' ')} UTC). {again}"
    )


def _write(
    connection: Connection,
    base: State,
    files: Loaded,
    changes: tuple[Change, ...],
    author: Author,
) -> int:
    number = next_number(connection, "loads")
    details = {
        what: [f"{one.kind} {one.id}" for one in changes if one.what == what]
        for what in (ADDED, CHANGED, WITHDRAWN)
    }
    entry = append(connection, author, "load", {"load": number, **details})
    version = yard_version(connection)
    if any(of_yard(one) for one in changes):
        version += 1
        content = to_text(files.yard)
        connection.execute(
            yard_versions.insert().values(
                version=version, digest=digest(content), content=content, entry=entry
            )
        )
    connection.execute(
        loads.insert().values(
            number=number,
            yard_version=version,
            sources=json.dumps(files.sources, sort_keys=True, ensure_ascii=False),
            entry=entry,
        )
    )
    rows = list(_order_rows(connection, number, base, files, changes))
    if rows:
        connection.execute(order_versions.insert(), rows)
    return number


def _order_rows(
    connection: Connection,
    number: int,
    base: State,
    files: Loaded,
    changes: tuple[Change, ...],
) -> list[dict[str, Any]]:
    versions = {row.order_id: row.version for row in newest_versions(connection)}
    rows = []
    for change in changes:
        if of_yard(change):
            continue
        withdrawn = change.what == WITHDRAWN
        source = base.loaded if withdrawn else files
        assert source is not None
        content = to_text(source.orders[change.id])
        rows.append(
            {
                "order_id": change.id,
                "version": versions.get(change.id, 0) + 1,
                "load": number,
                "withdrawn": int(withdrawn),
                "digest": digest(content),
                "content": content,
            }
        )
    return rows
