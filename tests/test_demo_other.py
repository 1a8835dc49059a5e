"""What the demo yard does without: added to a copy of it, it loads."""

from __future__ import annotations

import shutil
from datetime import UTC, datetime
from pathlib import Path

import pytest

from models.actuals.decisions import standards_of
from models.actuals.estimates import estimates
from models.actuals.finished import finished_steps
from models.loading import load_book
from models.loading.floor_entries import read_floor_entries
from models.store.actuals import worked
from models.store.documents import from_book
from models.store.loads import load
from models.store.log import Author
from models.store.plans import publish
from models.store.records import record
from models.store.transactions import open_store
from tests.models.store.conftest import plan_of

DEMO = Path(__file__).resolve().parent.parent / "demo_orders"


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    """The demo yard in a folder of its own."""
    return Path(shutil.copytree(DEMO, tmp_path / "yard"))


def test_saturdays_are_offered(copy: Path) -> None:
    """The fragment at the end of `yard.toml` offers nine Saturdays to lamination."""
    assert load_book(copy).yard.overtime == ()
    with (copy / "yard.toml").open("a", encoding="utf-8") as file:
        file.write((DEMO / "other" / "saturdays.toml").read_text("utf-8"))
    (window,) = load_book(copy).yard.overtime
    assert (window.calendar, window.first.isoweekday()) == ("lamination", 6)
    assert (window.last - window.first).days == 8 * 7


def test_other_jobs_stand_beside_the_boats(copy: Path) -> None:
    """Three repairs, warranty and show jobs come with `jobs.csv`."""
    boats = len(load_book(copy).orders)
    shutil.copy(DEMO / "other" / "jobs.csv", copy)
    book = load_book(copy)
    assert (len(book.orders), len(book.jobs)) == (boats, 3)


def test_five_weeks_can_be_recorded(copy: Path) -> None:
    """The whole file is taken, beside any plan of the book, and suggests standards.

    What it suggests is what was put into it: a console that takes longer than its
    standard, cutting that takes less, and one slip.
    """
    store = open_store(str(copy / "floor.db"), create=True)
    ann = Author("ann", datetime(2026, 11, 30, 12, tzinfo=UTC))
    files = from_book(load_book(copy))
    assert load(store, files, ann, None).done
    plan = plan_of(files)
    plan["problem"]["frozen_until"] = "2026-12-07T00:00-05:00"
    assert publish(store, plan, ann, None).done
    drafts = read_floor_entries(copy / "other" / "five-weeks.csv")
    result = record(store, drafts, ann)
    assert len(result.new) == len(drafts)
    assert result.warnings == {}

    known = worked(store)
    found = estimates(finished_steps(known.past, known.entries))
    suggested = standards_of(known.past.book, known.decisions).suggested(found)
    factors = {(one.model, one.operation): one.factor for one in suggested}
    assert factors["quillet-23", "console.laminate"] > 1.2
    assert factors["quillet-23", "upholstery.cut"] < 0.9
    slips = {(slip.order, slip.operation) for one in found for slip in one.flagged}
    assert slips == {("DC-310", "deck.inner_skin")}
