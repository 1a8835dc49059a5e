"""Hours earned against hours worked."""

from __future__ import annotations

from datetime import date

import pytest

from models.actuals.earned import earned_against_actual
from models.recording.entries import FloorEntry
from tests.models.actuals.conftest import (
    DETAIL,
    DETAIL_HOURS,
    PREP,
    PREP_HOURS,
    did,
    little_past,
)
from tests.models.recording.conftest import said

FIRST, SECOND = date(2027, 3, 1), date(2027, 3, 8)


def told(*entries: FloorEntry) -> dict[tuple[str, date], tuple[float, ...]]:
    """Earned, worked and unrecorded hours by station and week."""
    rows = earned_against_actual(little_past(), entries)
    return {
        (one.station, one.week): (
            one.earned_hours,
            one.actual_hours,
            one.unrecorded_hours,
        )
        for one in rows
    }


def test_a_step_is_earned_when_it_is_finished() -> None:
    """Hours count in their own week, the standard in the week of the finish."""
    assert told(
        said(*DETAIL, "start", "5 06:00"),
        said(*DETAIL, "pause", "5 15:00", hours=4.0),
        said(*DETAIL, "start", "8 06:00"),
        said(*DETAIL, "finish", "8 10:00", hours=3.0),
    ) == {
        ("bays", FIRST): (0.0, 4.0, 0.0),
        ("bays", SECOND): (pytest.approx(DETAIL_HOURS), 3.0, 0.0),
    }


def test_what_the_floor_says_remains_is_taken_at_its_word() -> None:
    """Work under way earns its standard less what remains, also downwards."""
    found = told(
        said(*DETAIL, "start", "5 06:00"),
        said(*DETAIL, "hours", "5 15:00", hours=4.0, remaining_hours=2.0),
        said(*DETAIL, "hours", "8 15:00", hours=1.0, remaining_hours=3.0),
        said(*DETAIL, "finish", "9 15:00", hours=2.0),
    )
    assert found["bays", FIRST] == (pytest.approx(DETAIL_HOURS - 2), 4.0, 0.0)
    assert found["bays", SECOND] == (pytest.approx(2.0), 3.0, 0.0)


def test_more_left_than_the_standard_earns_nothing() -> None:
    """Nothing is earned below 0."""
    found = told(
        said(*DETAIL, "start", "5 06:00"),
        said(*DETAIL, "hours", "5 15:00", hours=4.0, remaining_hours=9.0),
    )
    assert found == {("bays", FIRST): (0.0, 4.0, 0.0)}


def test_rework_earns_nothing() -> None:
    """Hours of rework count as worked; the step is not earned twice."""
    fail = said(*PREP, "gate", "2 15:00", result="fail", note="soft", rework_hours=2.0)
    entries = [*did(PREP, 2, 3.0), fail, *did(("B-2", "hull.prep.rework1"), 3, 2.5)]
    assert told(*entries) == {("floor", FIRST): (pytest.approx(PREP_HOURS), 5.5, 0.0)}
    again = said(*PREP, "rework", "3 15:00", hours=1.0, note="runs")
    entries = [*did(PREP, 2, 3.0), again, *did(PREP, 4, 1.5)[1:]]
    assert told(*entries) == {("floor", FIRST): (pytest.approx(PREP_HOURS), 4.5, 0.0)}


def test_steps_without_hours_are_kept_apart() -> None:
    """Where nobody recorded hours, what was earned has nothing to stand against."""
    assert told(*did(PREP, 2, None), *did(DETAIL, 2, 5.0)) == {
        ("bays", FIRST): (pytest.approx(DETAIL_HOURS), 5.0, 0.0),
        ("floor", FIRST): (0.0, 0.0, pytest.approx(PREP_HOURS)),
    }


def test_work_begun_before_can_earn_what_remained() -> None:
    """A step that a file has as begun, with 4.5 h left, earns no more than those."""
    found = told(said("B-1", "hull.laminate", "finish", "1 08:00", hours=5.0))
    assert found == {("floor", FIRST): (pytest.approx(4.5), 5.0, 0.0)}
