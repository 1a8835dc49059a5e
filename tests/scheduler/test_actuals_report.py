"""Earned hours and suggested standards in tables."""

from __future__ import annotations

from datetime import date, timedelta

from models.actuals.decisions import Standards
from models.actuals.earned import StationWeek
from models.actuals.estimates import estimates
from scheduler.actuals_report import (
    as_object,
    earned_lines,
    flagged_lines,
    left_out_line,
    suggestion_lines,
)
from tests.models.actuals.boats import boats

MONDAY = date(2027, 3, 1)
NOW = Standards({}, {}, {})


def test_weeks_before_are_summed_up() -> None:
    """Six weeks are shown, those before them in one column, all of them at the end."""
    rows = [
        StationWeek("booth", MONDAY + timedelta(weeks=n), 10.0, 8.0, 0.0)
        for n in range(8)
    ]
    lines = earned_lines(rows)
    assert lines[0].split()[:3] == ["station", "before", "2027-W11"]
    assert lines[2].split() == ["booth", "20/16", *["10/8"] * 6, "80/64", "125", "%"]
    assert lines[3].split()[:3] == ["all", "stations", "20/16"]


def test_hours_that_nobody_recorded_are_told() -> None:
    """Steps that were finished without hours are a line of their own."""
    lines = earned_lines([StationWeek("booth", MONDAY, 0.0, 0.0, 7.0)])
    assert lines[-1].endswith("not counted: 7 standard hours.")


def test_what_is_suggested_and_what_is_not() -> None:
    """A suggestion names boats and figures; the others are counted, or listed."""
    steps = boats(14.9, 15.0, 15.1) + boats(9.5, 10.5, model="cutter", operation="fit")
    found = estimates(steps)
    suggested = [one for one in found if one.differs_from(1.0)]
    lines = suggestion_lines(found, suggested, NOW, every=False)
    assert [line.split()[:3] for line in lines[2:3]] == [["skiff", "lay-up", "3"]]
    assert lines[-1].startswith("1 more figure lies too near")
    every = suggestion_lines(found, suggested, NOW, every=True)
    assert [line.split()[0] for line in every[2:4]] == ["cutter", "skiff"]
    told = as_object([], found, suggested, [], NOW)["standards"]
    assert [(one["model"], one["suggested"]) for one in told] == [
        ("cutter", False),
        ("skiff", True),
    ]


def test_far_figures_name_the_order_and_no_person() -> None:
    """A flagged boat is listed with its order, step, day and hours."""
    found = estimates(boats(11.0, 12.0, 12.5, 11.5, 12.2, 120.0))
    row = flagged_lines(found)[4].split()
    assert row == ["skiff-5", "lay-up", "2027-03-01", "10.00", "120.00"]
    assert flagged_lines(estimates(boats(11.0, 12.0))) == []


def test_boats_without_a_standard_are_named() -> None:
    """What is left out is said."""
    assert left_out_line([]) == []
    assert "A-1, A-2 (a model" in left_out_line(["A-1", "A-2"])[1]
