"""What the demo yard does without: added to a copy of it, it loads."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from models.loading import load_book

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
