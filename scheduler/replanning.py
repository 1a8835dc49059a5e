"""Planning again from a store: what was loaded, what is published, what was done."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time
from typing import TYPE_CHECKING

from models.errors import UsageError
from models.job_orders import work_models, work_orders
from models.recording.entries import FloorEntry, standing
from models.recording.facts import with_facts
from models.recording.gates import failed_gates
from models.routing import route
from models.store.decisions import book_in_force
from models.store.floor_entries import read_records
from models.store.known_entries import entries_source
from models.store.loads import read_state
from models.store.plans import Publication, newest, read_document
from models.store.reservations import (
    Seen,
    quoted_beside,
    seen_now,
    with_reservations,
)
from models.store.transactions import Store, read
from scheduler.plan_file import plan_from_json

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from models.orders import Book
    from scheduler.plan import Plan


@dataclass(frozen=True)
class Memory:
    """What a store knows, all of one moment.

    `book` has the facts of the floor in place of the files' and begins on the day to
    be planned; `entries` counts those that hold, `published` is None before the first.
    """

    book: Book
    load: int
    entries: int
    publication: Publication | None
    published: Plan | None
    failed_gates: tuple[str, ...]  # in words; the plan takes it that they pass
    seen: Seen  # what was newest


def recall_all(
    store: Store, as_of: date | None = None, *, reserved: bool = False
) -> Memory:
    """Read everything that a plan from now on needs.

    Parameters
    ----------
    store : Store
        Where to read.
    as_of : date, optional
        First local day to be planned; by default the day after the newest entry from
        the floor, or the yard's own if that is later.
    reserved : bool
        Give the published plan with the slots that were reserved beside it.

    Raises
    ------
    UsageError
        If nothing was loaded, or something was recorded on `as_of` or after it.
    """

    def work(connection: Connection) -> Memory:
        book, number, entries = _book(connection, store, as_of)
        sources = {**(book.sources or {}), **entries_source(connection)}
        book = replace(book, sources=sources)
        publication = newest(connection)
        published = None
        if publication is not None:
            plan = publication.plan
            if reserved:
                plan = quoted_beside(connection, publication.number) or plan
            published = plan_from_json(read_document(connection, plan))
        models = work_models(book)
        routings = {
            one.order: route(models[one.order], one) for one in work_orders(book)
        }
        failed = tuple(failed_gates(entries, routings))
        seen = seen_now(connection)
        count = len(entries)
        return Memory(book, number, count, publication, published, failed, seen)

    return read(store, work)


def recall_book(store: Store, as_of: date) -> Book:
    """The book as entries from before a day leave it, planned from that day on.

    Raises
    ------
    UsageError
        If nothing was loaded.
    """
    return read(store, lambda c: _book(c, store, as_of, later_too=False)[0])


def _book(
    connection: Connection, store: Store, as_of: date | None, *, later_too: bool = True
) -> tuple[Book, int, list[FloorEntry]]:
    state = read_state(connection)
    if state.loaded is None:
        raise UsageError(f"nothing was loaded into {store.shown} yet: hullpace load")
    book = book_in_force(connection, state.loaded)
    book = with_reservations(connection, book, datetime.now(UTC))
    names = {one.order for one in work_orders(book)}
    held = standing(read_records(connection))
    entries = [one for one in held if one.order in names]
    if as_of is not None:
        midnight = datetime.combine(as_of, time(0))
        before = [one for one in entries if one.at < midnight]
        if later_too and len(before) < len(entries):
            raise UsageError(
                f"--as-of {as_of}: {entries[-1].text} was recorded; name a later day"
            )
        entries = before
    book = with_facts(book, entries)
    if as_of is not None:
        book = replace(book, yard=replace(book.yard, as_of=as_of))
    return book, state.number, entries
