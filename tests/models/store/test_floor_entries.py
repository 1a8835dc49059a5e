"""Reading entries, and which boats have left, on both kinds of database."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import pytest

from models.errors import DataFaults
from models.loading.floor_entries import Draft
from models.recording.entries import FloorEntry, standing
from models.recording.in_the_yard import orders_in_the_yard
from models.store.documents import to_book
from models.store.floor_entries import orders_gone, orders_told_of, read_records
from models.store.records import record
from models.store.transactions import Store, read
from tests.models.store.conftest import ANN, CREW, demolded, draft, little_yard

BOOK = to_book(little_yard())


def said(order: str, operation: str, what: str, at: str, **more: object) -> Draft:
    """An entry in March."""
    when = datetime.fromisoformat(f"2027-03-{at}")
    entry = replace(FloorEntry(order, operation, what, when), **more)
    return Draft(entry, None, "floor.csv", "row 4")


LIFE = (
    draft("finish", "07:00", hours=1.0),
    *demolded(),
    said("B-1", "final.rig", "start", "05T06:00", place="Bay 1"),
    said("B-1", "final.rig", "finish", "08T10:00"),
    said("B-1", "final.detail", "start", "08T10:00"),
    said("B-1", "final.detail", "finish", "08T14:00"),
)
NEXT = said("B-2", "hull.prep", "start", "09T06:00", mold="H16-1", people=CREW[1:])


def gone(store: Store) -> set[str]:
    """Boats that have left, and no boat among them that may be there."""
    found = read(store, lambda c: orders_gone(c, BOOK))
    there = orders_in_the_yard(BOOK, standing(read(store, read_records)))
    assert not found & there
    return found


def test_a_boat_has_left_when_its_last_part_has(published: Store) -> None:
    """Not before, and not while something of it was corrected."""
    for one in LIFE:
        assert gone(published) == set()
        record(published, [one], ANN)
    assert gone(published) == {"B-1"}
    last = LIFE[-1]
    withdrawn = replace(last.entry, what="withdraw", note="not yet")
    record(published, [replace(last, entry=withdrawn, corrects=len(LIFE))], ANN)
    assert gone(published) == set()


def test_a_boat_that_has_left_is_in_nobodys_way(published: Store) -> None:
    """By the files it is in its mold for ever; the floor knows better."""
    with pytest.raises(DataFaults, match="H16-1"):
        record(published, [NEXT], ANN)
    record(published, LIFE, ANN)
    assert gone(published) == {"B-1"}
    record(published, [NEXT], ANN)
    assert [one.order for one in standing(read(published, read_records))][-1] == "B-2"


def test_entries_of_some_orders(published: Store) -> None:
    """Those asked for and no others; a number leads to its order."""
    record(published, [*LIFE, NEXT], ANN)
    some = read(published, lambda c: read_records(c, {"B-2"}))
    assert [one.number for one in some] == [len(LIFE) + 1]
    assert read(published, lambda c: orders_told_of(c, {1, 99})) == {"B-1"}
