"""How times, spans and counts are written."""

from __future__ import annotations

from dataclasses import replace

import pytest

from dashboard import wording
from tests.dashboard.small_view import small_view, when


def test_a_span_says_its_date_once() -> None:
    """Within a day the date stands once, over days twice."""
    begins = when("2027-03-08 06:00")
    assert wording.span(begins, when("2027-03-08 14:30")) == (
        "Mon 2027-03-08 06:00 to 14:30"
    )
    assert wording.span(begins, when("2027-03-09 07:00")) == (
        "Mon 2027-03-08 06:00 to Tue 2027-03-09 07:00"
    )


@pytest.mark.parametrize(
    ("days", "told"),
    [
        (None, "no date to meet"),
        (0, "on the day"),
        (1, "1 working day late"),
        (-3, "3 working days early"),
    ],
)
def test_lateness_is_told_in_words(days: int | None, told: str) -> None:
    """A sign alone is not enough: late and early are said."""
    assert wording.days_late(days) == told


@pytest.mark.parametrize(
    ("seconds", "told"),
    [
        (-5, "less than a minute"),
        (61, "1 minute"),
        (7199, "119 minutes"),
        (7200, "2 hours"),
        (3 * 86400, "3 days"),
    ],
)
def test_age_has_a_unit(seconds: float, told: str) -> None:
    """The age of a plan is told in the largest unit that is not too coarse."""
    assert wording.ago(seconds) == told


def test_labor_hours_are_called_so() -> None:
    """Crew and labor hours are told with their units; what is done has no crew."""
    row = small_view().by_id["B101/hull.skin"]
    assert wording.manned(row) == "2 people (LM-01, LM-02), 6.0 labor hours"
    assert wording.manned(replace(row, state="done")) == "done, 6.0 labor hours"
    assert wording.manned(replace(row, crew=0)) == "no crew"
    changed = replace(row, people="LM-01, LM-02, LM-03")
    assert wording.manned(changed).startswith(
        "2 people at a time (LM-01, LM-02, LM-03)"
    )


def test_a_promise_comes_before_a_wish() -> None:
    """A boat is measured against its promise, else against the wanted date."""
    boat = small_view().boat["B101"]
    assert wording.due(boat).startswith("promised ")
    assert wording.due(replace(boat, promised=None)).startswith(("wanted", "no date"))
    assert wording.due(replace(boat, promised=None, wanted=None)) == "no date"
