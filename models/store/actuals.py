"""Reading what was worked: every boat that was ever loaded, every entry that holds."""

from __future__ import annotations

from dataclasses import dataclass, replace

from sqlalchemy import Connection

from models.actuals.decisions import Decision, with_standards
from models.actuals.past import Past, past_of
from models.errors import UsageError
from models.recording.entries import FloorEntry, standing
from models.store.decisions import read_decisions
from models.store.documents import to_book
from models.store.floor_entries import read_records
from models.store.loads import read_gone, read_state
from models.store.transactions import Store, read


@dataclass(frozen=True, slots=True)
class Worked:
    """Boats that were ever loaded, at the rates of the files, and what the floor said.

    `entries` are those that hold, in their order, of boats with a standard;
    `decisions` those about standards, oldest first.
    """

    past: Past
    entries: tuple[FloorEntry, ...]
    decisions: tuple[Decision, ...] = ()

    @property
    def in_force(self) -> Past:
        """The same boats at the standards that hold now."""
        return replace(self.past, book=with_standards(self.past.book, self.decisions))


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
    gone = [one for one in read_gone(connection) if one.job is None]
    in_hand = [row for one in gone for row in one.in_hand]
    past = past_of(to_book(loaded), [one.order for one in gone], in_hand)
    known = {one.order for one in past.book.orders}
    held = standing(read_records(connection))
    entries = tuple(one for one in held if one.order in known)
    return Worked(past, entries, tuple(read_decisions(connection)))


def worked(store: Store) -> Worked:
    """Read it, all of one moment; errors as of `read_worked`."""
    return read(store, lambda connection: read_worked(connection, store))
