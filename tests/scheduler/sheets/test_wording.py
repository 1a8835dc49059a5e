"""How times are said."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

from models.axis import Axis
from scheduler.sheets.floor import Floor, make_floor
from scheduler.sheets.wording import hours, moment
from tests.scheduler.sheets.small_floor import small_names
from tests.scheduler.small_plan import small_plan


def floor_from(start: datetime) -> Floor:
    """The small plan on an axis that begins at another instant."""
    plan = small_plan()
    axis = Axis(start, 15, 96 * 400, "America/New_York")
    return make_floor(
        replace(plan, problem=replace(plan.problem, axis=axis, now=0)), small_names()
    )


def test_a_reading_that_occurs_twice_says_which() -> None:
    """Where clocks go back, the zone's name tells the first 01:30 from the second."""
    floor = floor_from(datetime(2026, 11, 1, 4, tzinfo=UTC))
    assert moment(floor, 2) == "Sun Nov 1, 00:30"
    assert moment(floor, 6) == "Sun Nov 1, 01:30 EDT"
    assert moment(floor, 10) == "Sun Nov 1, 01:30 EST"
    assert moment(floor, 14) == "Sun Nov 1, 02:30"


def test_another_year_is_named() -> None:
    """A day of next year says so, and a time beside its day does not say the day."""
    floor = floor_from(datetime(2026, 12, 31, 5, tzinfo=UTC))
    assert moment(floor, 0) == "Thu Dec 31, 00:00"
    assert moment(floor, 96) == "Fri Jan 1 2027, 00:00"
    assert moment(floor, 100, 96) == "01:00"
    assert moment(floor, 96, 95) == "Fri Jan 1 2027, 00:00"


def test_hours_have_a_tenth_at_most() -> None:
    """Whole hours are written without a tenth."""
    assert [hours(2.0), hours(2.25), hours(0.0)] == ["2", "2.2", "0"]
