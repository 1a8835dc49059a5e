"""What entries come to."""

from __future__ import annotations

from datetime import date, datetime

import pytest

from models.recording.facts import (
    in_hand_rows,
    progress_of,
    standard_hours,
    with_facts,
)
from tests.models.recording.conftest import little_book, said

STEP = ("B-2", "hull.prep")
# Area 14 m2 x 0.2 h/m2 x (1 + 0.15), as the routing of the little yard says.
STANDARD = 14 * 0.2 * 1.15


def test_hours_of_a_step() -> None:
    """Standard hours are those of the routing, allowance included."""
    assert standard_hours(little_book(), ["B-2"])[STEP] == pytest.approx(STANDARD)


def test_a_step_from_start_to_finish() -> None:
    """Begun, with hours recorded, paused, taken up again, done."""
    entries = [
        said(*STEP, "start", "2 06:00", people=("LM-02",)),
        said(*STEP, "pause", "2 07:00", hours=1.0),
        said(*STEP, "start", "2 09:00", people=("LM-03",)),
    ]
    now, _ = progress_of(little_book(), entries)[STEP]
    assert (now.state, now.started) == (
        "started",
        datetime.fromisoformat("2027-03-02T06:00"),
    )
    assert now.remaining_hours == pytest.approx(STANDARD - 1.0)
    assert now.people == ("LM-03",)
    entries.append(said(*STEP, "finish", "2 11:00", hours=2.0))
    now, _ = progress_of(little_book(), entries)[STEP]
    assert (now.state, now.finished) == (
        "done",
        datetime.fromisoformat("2027-03-02T11:00"),
    )
    assert (now.hours, now.remaining_hours) == (3.0, 0.0)


def test_what_the_floor_says_is_left_counts() -> None:
    """A statement of the remaining hours replaces the reckoning, rework adds."""
    entries = [
        said(*STEP, "start", "2 06:00"),
        said(*STEP, "hours", "2 10:00", hours=1.0, remaining_hours=4.0),
        said(*STEP, "hours", "2 12:00", hours=1.5),
        said(*STEP, "rework", "2 13:00", hours=2.0, note="wax run"),
    ]
    now, _ = progress_of(little_book(), entries)[STEP]
    assert now.remaining_hours == pytest.approx(4.0 - 1.5 + 2.0)


def test_rework_opens_what_was_done() -> None:
    """The hours of the rework remain, from the first start on."""
    entries = [
        said(*STEP, "start", "2 06:00"),
        said(*STEP, "finish", "2 08:00"),
        said(*STEP, "rework", "2 09:00", hours=1.5, note="film too thin"),
    ]
    (row,) = [one for one in in_hand_rows(little_book(), entries) if one.order == "B-2"]
    assert (row.state, row.finished, row.remaining_hours) == ("started", None, 1.5)


def test_an_entry_goes_on_from_the_file() -> None:
    """Work that `in_hand.csv` has as begun keeps its start and mold there."""
    entries = [said("B-1", "hull.laminate", "finish", "1 08:15")]
    rows = {one.operation: one for one in in_hand_rows(little_book(), entries)}
    done = rows["hull.laminate"]
    assert (done.state, done.started) == (
        "done",
        datetime.fromisoformat("2027-02-26T12:30"),
    )
    assert rows["hull.prep"].mold == "H16-1"  # untouched


def test_the_next_day_is_planned() -> None:
    """What was recorded up to an evening is planned from the next day on."""
    entries = [said("B-1", "hull.laminate", "finish", "3 08:15")]
    assert with_facts(little_book(), entries).yard.as_of == date(2027, 3, 4)
    assert with_facts(little_book(), []) is little_book()


def test_entries_of_an_order_that_has_gone() -> None:
    """A boat that was delivered and left the book leaves no facts behind."""
    assert with_facts(
        little_book(), [said("B-0", "hull.prep", "start", "5 06:00")]
    ) is (little_book())
