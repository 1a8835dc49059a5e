"""The horizon is long enough for the work and the dates, and not endless."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from models.orders import Arrival
from models.yard import Shift, TradeCalendar
from scheduler.building.build import build_problem
from scheduler.building.horizon import (
    end_of_horizon,
    estimate_horizon_days,
    weekly_hours,
)
from tests.scheduler.one_by_one import OneByOne
from tests.scheduler.small_book import AS_OF, boat, done, small_book, small_yard


@given(st.dates(date(2026, 1, 1), date(2028, 12, 31)), st.integers(0, 800))
def test_a_horizon_ends_on_the_first_monday_that_is_late_enough(
    as_of: date, days: int
) -> None:
    """The end is a Monday at least so many days on, and less than a week more."""
    end = end_of_horizon(as_of, days)
    assert end.isoweekday() == 1
    assert 0 <= (end - as_of).days - days < 7


@pytest.mark.parametrize(
    ("shifts", "hours"),
    [
        ((), 0),
        ((Shift((1, 2, 3, 4, 5), time(6), time(14, 30)),), 42.5),
        ((Shift((1, 2), time(6), time(14), ((time(9), time(9, 30)),)),), 15),
        ((Shift((7,), time(16), time(0)), Shift((1,), time(0), time(2))), 10),
    ],
)
def test_a_weeks_hours_are_shifts_less_breaks(
    shifts: tuple[Shift, ...], hours: float
) -> None:
    """The hours of a week are those of its shifts, to midnight if they end there."""
    assert weekly_hours(TradeCalendar("any", shifts)) == hours


def test_a_plan_of_one_thing_after_another_fits() -> None:
    """Even work that is never done side by side fits into the estimate."""
    orders = tuple(boat(f"B{n:02}", options=("tower",)) for n in range(20))
    problem = build_problem(small_book(orders=orders))
    plan = OneByOne(problem).plan()
    assert max(one.finish for one in plan.answer.operations) <= problem.axis.ticks


def test_more_work_needs_a_longer_horizon() -> None:
    """The estimate grows with the orders and shrinks with what is done."""
    few = tuple(boat(f"B{n:03}") for n in range(5))
    many = tuple(boat(f"B{n:03}") for n in range(60))
    short = estimate_horizon_days(small_book(orders=few))
    book = small_book(orders=many)
    long = estimate_horizon_days(book)
    assert long > short
    codes = ("prep", "gel_coat", "skin", "demold", "soak")
    facts = tuple(
        done(one.order, code, "2026-11-02T06:00", "2026-11-03T06:00", mold="H1")
        for one in many[:50]
        for code in codes
    )
    assert estimate_horizon_days(replace(book, in_hand=facts)) < long


def test_scarce_molds_and_places_lengthen_the_horizon() -> None:
    """With one bay less the same boats need longer."""
    orders = tuple(boat(f"B{n:03}") for n in range(80))
    yard = small_yard()
    more = replace(yard, places=(replace(yard.places[0], capacity=4),))
    one_bay = estimate_horizon_days(small_book(orders=orders))
    assert estimate_horizon_days(small_book(orders=orders, yard=more)) < one_bay


@pytest.mark.parametrize("what", ["wanted", "promised", "release", "arrival"])
def test_dates_of_the_book_lie_inside(what: str) -> None:
    """Every due date, release and arrival is followed by two months at least."""
    day = AS_OF + timedelta(days=700)
    if what == "arrival":
        book = small_book(arrivals=(Arrival("B1", "rig", "engine", day, None, None),))
    else:
        changes = {what: day}
        book = small_book(orders=(boat("B1", **changes),))
    assert estimate_horizon_days(book) >= 760


def test_nobody_at_work_leaves_the_estimate_to_dates() -> None:
    """A yard without people gives an estimate, not an error."""
    assert estimate_horizon_days(small_book(yard=small_yard(people=()))) > 0
