"""Orders changed or withdrawn in the store: what it comes to, and keeping it.

The change is kept as a load of its own, of the same yard and of one order, so that
plans made before it are not published after it.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, datetime

from sqlalchemy import Connection

from models.change_order import Changed, Wish, begun_steps, change_order
from models.errors import ChangeRefused, UsageError
from models.loading.faults import one_of
from models.orders import Book
from models.recording.checks import objections
from models.recording.entries import FloorEntry, standing
from models.recording.facts import with_facts
from models.routing import route
from models.store.changes import CHANGED, WITHDRAWN
from models.store.decisions import book_in_force
from models.store.documents import Loaded, OrderRecord, digest, to_book, to_text
from models.store.floor_entries import read_records
from models.store.loads import (
    newest_versions,
    read_state,
    refuse_overtaken,
    yard_version,
)
from models.store.log import Author, append
from models.store.numbering import next_number
from models.store.reservations import with_reservations
from models.store.schema import loads, order_versions
from models.store.transactions import Store, read, write


@dataclass(frozen=True, slots=True)
class Proposal:
    """What a change comes to: the book as it is true now, and as it would be.

    `load` is the store's newest load, `changed` None where the order is withdrawn;
    `dropped` says in words what goes with steps that are no longer needed.
    """

    load: int
    now: Book
    then: Book
    changed: Changed | None
    dropped: tuple[str, ...] = ()


def propose_change(store: Store, order: str, wish: Callable[[Book], Wish]) -> Proposal:
    """Work out a change; nothing is written.

    Parameters
    ----------
    wish : callable
        Gives how the order is to be, from the book as it is true now.

    Raises
    ------
    ChangeRefused
        With the reasons why the order cannot be changed so.
    UsageError
        If there is no such order.
    """
    return read(store, lambda c: _Desk(c, store, order).change(wish)[0])


def accept_change(
    store: Store,
    order: str,
    wish: Callable[[Book], Wish],
    author: Author,
    after: int,
) -> int:
    """Keep a change and give the number of its load.

    Parameters
    ----------
    after : int
        The load that the change was compared with.

    Raises
    ------
    Overtaken
        If somebody has changed the order since.
    ChangeRefused
        If the floor has meanwhile begun what would change.
    """

    def work(connection: Connection) -> int:
        desk = _Desk(connection, store, order)
        desk.refuse_overtaken(after)
        _, record = desk.change(wish)
        return desk.keep(record, author, withdrawn=False)

    return write(store, work)


def propose_withdrawal(store: Store, order: str) -> Proposal:
    """Work out what withdrawing an order comes to; nothing is written.

    Raises
    ------
    ChangeRefused
        If its work has begun.
    UsageError
        If there is no such order.
    """
    return read(store, lambda c: _Desk(c, store, order).withdrawal())


def accept_withdrawal(store: Store, order: str, author: Author, after: int) -> int:
    """Withdraw an order and give the number of the load; raises as a change does."""

    def work(connection: Connection) -> int:
        desk = _Desk(connection, store, order)
        desk.refuse_overtaken(after)
        desk.withdrawal()
        return desk.keep(desk.record, author, withdrawn=True)

    return write(store, work)


class _Desk:
    """One order of a store, inside a transaction."""

    def __init__(self, connection: Connection, store: Store, order: str) -> None:
        state = read_state(connection)
        if state.loaded is None:
            raise UsageError(
                f"nothing was loaded into {store.shown} yet: hullpace load"
            )
        if order not in state.loaded.orders:
            near = one_of(order, list(state.loaded.orders), "an order")
            raise UsageError(f"no order {order!r} in {store.shown}: expected {near}")
        self.connection = connection
        self.order = order
        self.number = state.number
        self.loaded: Loaded = state.loaded
        self.record = state.loaded.orders[order]
        held = standing(read_records(connection))
        names = state.loaded.orders.keys()
        self.entries: list[FloorEntry] = [one for one in held if one.order in names]

    def refuse_overtaken(self, after: int) -> None:
        """Refuse if the order was changed after a load."""
        versions = {row.order_id: row.load for row in newest_versions(self.connection)}
        again = (
            "Nothing was changed. See it as it is now: the same command without --after"
        )
        touched = {f"order {self.order}": versions[self.order]}
        refuse_overtaken(self.connection, touched, after, again)

    def change(self, wish: Callable[[Book], Wish]) -> tuple[Proposal, OrderRecord]:
        """The change, and the order's record with it."""
        if self.record.job is not None:
            raise UsageError(
                f"{self.order} is no boat and has no options: change its row in "
                "jobs.csv and load it"
            )
        now = self._facts(self.loaded)
        changed = change_order(now, self.order, wish(now))
        order = changed.on(self.record.order)
        steps = {one.code for one in route(now.models[order.model], order).operations}
        record, dropped = _still_needed(replace(self.record, order=order), steps)
        orders = self.loaded.orders | {self.order: record}
        files = replace(self.loaded, orders=orders)
        self._refuse_contradictions(files)
        proposal = Proposal(self.number, now, self._facts(files), changed, dropped)
        return proposal, record

    def withdrawal(self) -> Proposal:
        """The book without the order, if nothing of it was begun."""
        now = self._facts(self.loaded)
        begun = begun_steps(now, self.order)
        if begun:
            row, count = begun[0], len(begun)
            more = f" and {count - 1} more" if count > 1 else ""
            raise ChangeRefused(
                f"{self.order} stays in the plan: '{row.operation}'{more} begun since "
                f"{row.started:%Y-%m-%d %H:%M}; its parts take molds and places until "
                "they are built or scrapped"
            )
        rest = {k: one for k, one in self.loaded.orders.items() if k != self.order}
        then = self._facts(replace(self.loaded, orders=rest))
        return Proposal(self.number, now, then, None)

    def keep(self, record: OrderRecord, author: Author, *, withdrawn: bool) -> int:
        """Write the order's new version and give the number of its load."""
        number = next_number(self.connection, "loads")
        kind = WITHDRAWN if withdrawn else CHANGED
        details = {"load": number, "order": self.order, "what": kind}
        entry = append(self.connection, author, "order", details)
        content = to_text(record)
        sources = self.loaded.sources | {
            f"order {self.order}": digest(f"{number} {kind} {content}")
        }
        self.connection.execute(
            loads.insert().values(
                number=number,
                yard_version=yard_version(self.connection),
                sources=json.dumps(sources, sort_keys=True, ensure_ascii=False),
                entry=entry,
            )
        )
        versions = {
            row.order_id: row.version for row in newest_versions(self.connection)
        }
        self.connection.execute(
            order_versions.insert().values(
                order_id=self.order,
                version=versions[self.order] + 1,
                load=number,
                withdrawn=int(withdrawn),
                digest=digest(content),
                content=content,
            )
        )
        return number

    def _facts(self, loaded: Loaded) -> Book:
        book = book_in_force(self.connection, loaded)
        book = with_reservations(self.connection, book, datetime.now(UTC))
        return with_facts(book, self.entries)

    def _refuse_contradictions(self, files: Loaded) -> None:
        """Refuse what entries of the floor would contradict."""
        known = set(objections(to_book(self.loaded), self.entries))
        found = [
            one for one in objections(to_book(files), self.entries) if one not in known
        ]
        if found:
            told = "; ".join(
                f"{one.entry.text}: found {one.found}, expected {one.expected}"
                for one in found
            )
            raise ChangeRefused(f"{self.order} stays as it is: {told}")


def _still_needed(
    record: OrderRecord, steps: set[str]
) -> tuple[OrderRecord, tuple[str, ...]]:
    """The record without rows of steps that are no more, and those in words."""
    added = {row.operation for row in record.in_hand} | steps
    arrivals = tuple(row for row in record.arrivals if row.operation in added)
    locks = tuple(row for row in record.locks if row.operation in added)
    gone = [
        f"{row.item} for '{row.operation}' is not needed any more"
        for row in record.arrivals
        if row not in arrivals
    ]
    gone += [
        f"the lock of '{row.operation}' is lifted"
        for row in record.locks
        if row not in locks
    ]
    return replace(record, arrivals=arrivals, locks=locks), tuple(gone)
