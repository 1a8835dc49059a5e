"""What a plan from the store starts with."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from models.errors import UsageError
from models.loading import load_book
from models.loading.floor_entries import Draft
from models.recording.entries import FloorEntry
from models.store.documents import from_book
from models.store.loads import load
from models.store.log import Author
from models.store.plans import publish
from models.store.records import record
from models.store.transactions import Store, open_store
from scheduler.plan_file import plan_to_json
from scheduler.planner import Request, make_plan
from scheduler.replanning import recall_all, recall_book
from scheduler.searching.search import Budget

BASE = Path(__file__).parents[2] / "demo_orders" / "broken" / "base"
ANN = Author("ann", datetime(2027, 3, 1, 12, tzinfo=UTC))


@pytest.fixture
def store(tmp_path: Path) -> Store:
    """A store with the little yard and its plan."""
    store = open_store(str(tmp_path / "yard.db"), create=True)
    book = load_book(BASE)
    load(store, from_book(book), ANN, None)
    plan = make_plan(book, Request(Budget(None, 10), workers=1)).plan
    publish(store, plan_to_json(plan), ANN, None)
    at = datetime.fromisoformat("2027-03-02T10:00")
    entry = FloorEntry("B-1", "hull.laminate", "finish", at)
    record(store, [Draft(entry, None, "", "")], ANN)
    return store


def test_facts_take_the_place_of_the_file(store: Store) -> None:
    """The floor's finish is in the book; the next day is the first to be planned."""
    memory = recall_all(store)
    (row,) = (one for one in memory.book.in_hand if one.operation == "hull.laminate")
    assert row.state == "done"
    assert memory.book.yard.as_of == date(2027, 3, 3)
    assert (memory.load, memory.entries) == (1, 1)
    assert memory.publication is not None
    assert memory.publication.number == 1
    assert memory.published is not None


def test_another_first_day(store: Store) -> None:
    """A later day will do; one with entries would leave them out, and is refused."""
    assert recall_all(store, date(2027, 3, 5)).book.yard.as_of == date(2027, 3, 5)
    with pytest.raises(UsageError, match=r"hull\.laminate finish 2027-03-02 10:00"):
        recall_all(store, date(2027, 3, 2))


def test_the_book_of_an_earlier_plan(store: Store) -> None:
    """To check one, only what was done before its first day counts."""
    book = recall_book(store, date(2027, 3, 1))
    assert book.in_hand == recall_book(store, date(2027, 3, 2)).in_hand
    (row,) = (one for one in book.in_hand if one.operation == "hull.laminate")
    assert row.state == "started"


def test_an_empty_store(tmp_path: Path) -> None:
    """There is nothing to plan."""
    store = open_store(str(tmp_path / "empty.db"), create=True)
    with pytest.raises(UsageError, match="nothing was loaded"):
        recall_all(store)
