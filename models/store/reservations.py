"""Keeping a quoted slot, accepting or declining it: nobody sells a slot twice.

A quote is worked out beside a plan and the reservations made so far. It can be reserved
only while all of that is still the newest, so of two desks that quoted at the same time
one is told to quote again.
"""

from __future__ import annotations

import json
import zlib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import Connection, select

from models.errors import Overtaken, UsageError
from models.loading.faults import one_of
from models.orders import Book, Order
from models.reservations import ACCEPTED, DECLINED, RESERVED, Reservation, kept
from models.store.documents import digest, from_text, to_text
from models.store.loads import read_state
from models.store.log import Author, append
from models.store.numbering import newest_number, next_number
from models.store.schema import order_versions, plans, reservations
from models.store.transactions import Store, write

SOURCE = "reservation "  # and the order: among the inputs of a plan


@dataclass(frozen=True, slots=True)
class Seen:
    """The newest numbers of a store, on which a quote rests."""

    load: int
    publication: int
    standard: int
    reservation: int


def seen_now(connection: Connection) -> Seen:
    """The newest numbers, inside a transaction."""
    names = ("loads", "publications", "standards", "reservations")
    return Seen(*(newest_number(connection, name) for name in names))


def reserve(
    store: Store,
    order: Order,
    finish: date,
    document: Mapping[str, Any],
    seen: Seen,
    author: Author,
) -> int:
    """Keep the slot of a quoted boat and give the reservation's number.

    Parameters
    ----------
    order : Order
        With the date quoted as `promised` and the last day as `reserved_until`.
    document : mapping
        The objects of the plan file that has the boat in its slot; checked before.
    seen : Seen
        What the quote rests on.

    Raises
    ------
    Overtaken
        If anything of that is not the newest any more.
    UsageError
        If the order's name was used before, or its last day is over.
    """
    text = json.dumps(
        document, sort_keys=True, ensure_ascii=False, separators=(",", ":")
    )
    name = digest(text)
    content = zlib.compress(text.encode("utf-8"))

    def work(connection: Connection) -> int:
        now = seen_now(connection)
        if now != seen:
            raise Overtaken(_overtaken(seen, now))
        _refuse_name(connection, order.order)
        made = Reservation(order, RESERVED, finish, seen.publication, name)
        if made.until < today_of(connection, author.at):
            raise UsageError(f"--until {made.until}: that day is over")
        number, entry = _log(connection, made, author)
        known = select(plans.c.digest).where(plans.c.digest == name)
        if connection.execute(known).first() is None:
            values = {"digest": name, "content": content, "entry": entry}
            connection.execute(plans.insert().values(values))
        _keep(connection, number, made, entry)
        return number

    return write(store, work)


def accept(store: Store, order: str, author: Author) -> tuple[Reservation, bool]:
    """Accept a reserved boat; False if that was done before.

    Raises
    ------
    Overtaken
        If the reservation has run out or was declined.
    UsageError
        If there is none.
    """

    def work(connection: Connection) -> tuple[Reservation, bool]:
        row = _newest(connection, order)
        if row.what == ACCEPTED:
            return row, False
        if row.what == DECLINED:
            raise Overtaken(f"the quote of {order} was declined: quote again")
        if row.until < today_of(connection, author.at):
            raise Overtaken(f"{_ran_out(row)}: quote again")
        return _settle(connection, row, ACCEPTED, author), True

    return write(store, work)


def decline(store: Store, order: str, author: Author) -> Reservation:
    """Give the slot of a reserved boat back before the quote runs out.

    Raises
    ------
    Overtaken
        If the quote has run out, or was accepted or declined before, or files have
        the order.
    UsageError
        If there is no such reservation.
    """

    def work(connection: Connection) -> Reservation:
        row = _newest(connection, order)
        if row.what == DECLINED:
            raise Overtaken(f"the quote of {order} was declined before")
        if order in _loaded(connection) or row.what == ACCEPTED:
            raise Overtaken(
                f"{order} was accepted and is an order: withdraw it instead"
            )
        if row.until < today_of(connection, author.at):
            raise Overtaken(f"{_ran_out(row)}: its slot is free already")
        return _settle(connection, row, DECLINED, author)

    return write(store, work)


def read_reservations(connection: Connection) -> list[Reservation]:
    """Every row, oldest first, inside a transaction."""
    rows = connection.execute(select(reservations).order_by(reservations.c.number))
    return [from_text(Reservation, row.content) for row in rows]


def with_reservations(connection: Connection, book: Book, at: datetime) -> Book:
    """The book with the orders that reservations keep, and sources that say so."""
    orders = _kept(connection, at)
    if not orders:
        return book
    sources = {**(book.sources or {}), **_sources(orders)}
    return replace(book, orders=(*book.orders, *orders), sources=sources)


def reservation_sources(connection: Connection, at: datetime) -> dict[str, str]:
    """What the inputs of a plan must say of reservations; empty if there are none."""
    return _sources(_kept(connection, at))


def quoted_beside(connection: Connection, publication: int) -> str | None:
    """The newest plan with reserved slots beside a published one, by its digest."""
    for row in reversed(read_reservations(connection)):
        if row.what == RESERVED:
            return row.plan if row.publication == publication else None
    return None


def today_of(connection: Connection, at: datetime) -> date:
    """The yard's local day at an instant."""
    loaded = read_state(connection).loaded
    zone = "UTC" if loaded is None else loaded.yard.yard.time_zone
    return at.astimezone(ZoneInfo(zone)).date()


def _kept(connection: Connection, at: datetime) -> list[Order]:
    rows = read_reservations(connection)
    if not rows:
        return []
    return kept(rows, _loaded(connection), today_of(connection, at))


def _loaded(connection: Connection) -> set[str]:
    """Orders that were ever loaded."""
    return set(connection.execute(select(order_versions.c.order_id)).scalars())


def _newest(connection: Connection, order: str) -> Reservation:
    newest = {row.order.order: row for row in read_reservations(connection)}
    if order not in newest:
        near = one_of(order, list(newest), "a reserved order")
        raise UsageError(f"no reservation {order!r}: expected {near}")
    return newest[order]


def _ran_out(row: Reservation) -> str:
    return f"the reservation of {row.order.order} ran out on {row.until}"


def _settle(
    connection: Connection, row: Reservation, what: str, author: Author
) -> Reservation:
    made = replace(row, what=what)
    number, entry = _log(connection, made, author)
    _keep(connection, number, made, entry)
    return made


def _sources(orders: list[Order]) -> dict[str, str]:
    # Accepting changes nothing of the work, so plans of before may still be published.
    plain = [replace(one, reserved_until=None) for one in orders]
    return {f"{SOURCE}{one.order}": digest(to_text(one)) for one in plain}


def _refuse_name(connection: Connection, order: str) -> None:
    used = {row.order.order for row in read_reservations(connection)}
    if order in used | _loaded(connection):
        raise UsageError(
            f"--reserve {order}: that order is there already: name another"
        )


def _overtaken(seen: Seen, now: Seen) -> str:
    what = {
        "another slot was sold or given back": now.reservation != seen.reservation,
        "another plan was published": now.publication != seen.publication,
        "files were loaded": now.load != seen.load,
        "a standard was decided": now.standard != seen.standard,
    }
    told = " and ".join(one for one, changed in what.items() if changed)
    return f"since this quote {told}. Nothing was reserved: quote again"


def _log(connection: Connection, made: Reservation, author: Author) -> tuple[int, int]:
    number = next_number(connection, "reservations")
    details = {
        "reservation": number,
        "order": made.order.order,
        "what": made.what,
        "promised": str(made.order.promised),
        "until": str(made.until),
    }
    return number, append(connection, author, "reservation", details)


def _keep(connection: Connection, number: int, made: Reservation, entry: int) -> None:
    content = to_text(made)
    connection.execute(
        reservations.insert().values(
            number=number,
            order_id=made.order.order,
            digest=digest(content),
            content=content,
            plan=made.plan,
            entry=entry,
        )
    )
