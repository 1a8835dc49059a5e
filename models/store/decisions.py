"""What was decided about standards, and the book with those that hold."""

from __future__ import annotations

from sqlalchemy import Connection, select

from models.actuals.decisions import SOURCE, Decision, with_standards
from models.errors import UsageError
from models.orders import Book
from models.store.documents import Loaded, from_text, to_book
from models.store.loads import read_state
from models.store.schema import standards
from models.store.transactions import Store, read


def read_decisions(connection: Connection) -> list[Decision]:
    """Every decision, oldest first, inside a transaction."""
    return [one for _, one in read_numbered(connection)]


def read_numbered(connection: Connection) -> list[tuple[int, Decision]]:
    """Every decision with its number, oldest first, inside a transaction."""
    rows = connection.execute(select(standards).order_by(standards.c.number))
    return [(row.number, from_text(Decision, row.content)) for row in rows]


def loaded_book(store: Store) -> Book:
    """The book that was loaded last, with the hours of accepted standards.

    Raises
    ------
    UsageError
        If nothing was loaded yet.
    """

    def work(connection: Connection) -> Book:
        loaded = read_state(connection).loaded
        if loaded is None:
            raise UsageError(
                f"nothing was loaded into {store.shown} yet: hullpace load"
            )
        return book_in_force(connection, loaded)

    return read(store, work)


def book_in_force(connection: Connection, loaded: Loaded) -> Book:
    """The book that was loaded, with the hours of accepted standards."""
    return with_standards(to_book(loaded), read_decisions(connection))


def standards_source(connection: Connection) -> dict[str, str]:
    """What the inputs of a plan say of accepted standards; empty if there are none."""
    decisions = read_decisions(connection)
    loaded = read_state(connection).loaded if decisions else None
    if loaded is None:
        return {}
    sources = with_standards(to_book(loaded), decisions).sources or {}
    return {SOURCE: sources[SOURCE]} if SOURCE in sources else {}
