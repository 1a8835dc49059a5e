"""Which finished steps say something of the standard."""

from __future__ import annotations

import pytest

from models.actuals.finished import FinishedStep, finished_steps, planned_steps
from models.recording.entries import FloorEntry
from tests.models.actuals.conftest import (
    DETAIL,
    PREP,
    PREP_HOURS,
    did,
    little_past,
)
from tests.models.recording.conftest import said


def found(*entries: FloorEntry) -> list[FinishedStep]:
    """Finished steps of the little yard."""
    return finished_steps(little_past(), entries)


def test_hours_of_all_entries_count() -> None:
    """Hours of a pause, of the finish and told later come to those of the step."""
    (one,) = found(
        said(*PREP, "start", "2 06:00"),
        said(*PREP, "pause", "2 07:00", hours=1.0),
        said(*PREP, "start", "3 06:00"),
        said(*PREP, "finish", "3 07:00", hours=2.0),
        said(*PREP, "hours", "3 12:00", hours=0.5),
    )
    assert (one.order, one.model, one.operation) == ("B-2", "skiff-16", "hull.prep")
    assert one.standard_hours == pytest.approx(PREP_HOURS)
    assert one.actual_hours == 3.5
    assert one.finished.isoformat() == "2027-03-03"


def test_what_says_nothing_of_the_standard() -> None:
    """Neither unfinished work, nor without hours, nor scrapped or done again."""
    assert found(said(*PREP, "start", "2 06:00"), *did(DETAIL, 2, None)) == []
    scrapped = said(*PREP, "scrap", "2 07:00", note="dropped")
    begun, done = did(PREP, 2, 3.0)
    assert found(begun, scrapped, done) == []
    again = said(*PREP, "rework", "2 15:00", hours=1.0, note="runs")
    assert found(begun, done, again, *did(PREP, 3, 1.0)[1:]) == []


def test_work_begun_before_it_was_recorded_says_nothing() -> None:
    """Of a step that a file has as begun, the first hours are not known."""
    step = ("B-1", "hull.laminate")
    assert found(said(*step, "finish", "1 08:00", hours=4.5)) == []
    assert found(*did(step, 1, 4.5)) == []


def test_rework_has_no_standard() -> None:
    """The step that a failed gate asks for is planned, and is no standard."""
    fail = said(*PREP, "gate", "2 15:00", result="fail", note="soft", rework_hours=2.0)
    entries = [*did(PREP, 2, 3.0), fail, *did(("B-2", "hull.prep.rework1"), 3, 2.5)]
    planned = planned_steps(little_past(), entries)
    assert planned["B-2", "hull.prep.rework1"].is_rework
    assert [one.operation for one in found(*entries)] == ["hull.prep"]
