"""Reading what was worked: every boat that was ever loaded, every entry that holds."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection

from models.actuals.past import Past, past_of
from models.errors import UsageError
from models.recording.entries import FloorEntry, standing
from models.store.documents import to_book
from models.store.loads import read_gone, read_state
from models.store.records import read_records
from models.store.transactions import Store, read


@dataclass(frozen=True, slots=True)
class Worked:
    """Boats that were ever loaded, at the rates of the files, and what the floor said.

    `entries` are those that hold, in their order, of boats with a standard.
    """

    past: Past
    entries: tuple[FloorEntry, ...]


def read_worked(connection: Connection, store: Store) -> Worked:
    """Read it inside a transaction.

    Raises
    ------
    UsageError
        If nothing was loaded yet.
    """
    loaded = read_state(connection).loaded
    if loaded is None:
        raise UsageError(f"nothing was loaded into {store.shown} yet: hullpace load")
    gone = read_gone(connection)
    in_hand = [row for one in gone for row in one.in_hand]
    past = past_of(to_book(loaded), [one.order for one in gone], in_hand)
    known = {one.order for one in past.book.orders}
    held = standing(read_records(connection))
    return Worked(past, tuple(one for one in held if one.order in known))


def worked(store: Store) -> Worked:
    """Read it, all of one moment; errors as of `read_worked`."""
    return read(store, lambda connection: read_worked(connection, store))
