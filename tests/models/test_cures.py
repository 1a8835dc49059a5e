"""Rates of cure: capped at the data sheet's, rounded against the yard."""

from __future__ import annotations

from datetime import date

from hypothesis import given
from hypothesis import strategies as st

from models.cures import (
    MILLION,
    DatedTemperature,
    ShopTemperature,
    at_coldest,
    cure_millionths,
)

MONTHS = ShopTemperature(
    tuple(float(month) for month in range(1, 13)),
    (DatedTemperature(date(2027, 3, 3), date(2027, 3, 4), -2.0),),
)
CELSIUS = st.floats(-40, 120)


def test_dated_degrees_come_before_those_of_the_month() -> None:
    """A day named in the yard's file has its own degrees, both ends included."""
    days = [date(2027, 3, day) for day in (2, 3, 4, 5)]
    assert [MONTHS.on(day) for day in days] == [3, -2, -2, 3]
    assert MONTHS.coldest == -2


def test_changes_are_listed_once() -> None:
    """Only days on which it becomes another temperature are listed."""
    assert MONTHS.changes(date(2027, 2, 27), date(2027, 4, 1)) == [
        (date(2027, 2, 27), 2),
        (date(2027, 3, 1), 3),
        (date(2027, 3, 3), -2),
        (date(2027, 3, 5), 3),
        (date(2027, 4, 1), 4),
    ]


@given(CELSIUS, CELSIUS, st.floats(0.1, 300))
def test_no_minute_counts_for_more_than_one(
    celsius: float, reference: float, activation: float
) -> None:
    """A warm shop shortens nothing, a cold one never helps."""
    share = cure_millionths(celsius, reference, activation)
    assert 0 <= share <= MILLION
    assert share == MILLION or celsius < reference


@given(CELSIUS, CELSIUS, st.floats(0.1, 300))
def test_colder_is_never_faster(one: float, other: float, activation: float) -> None:
    """Of two temperatures the lower one never cures faster."""
    low, high = sorted((one, other))
    assert cure_millionths(low, 20, activation) <= cure_millionths(high, 20, activation)


def test_a_cure_that_never_ends() -> None:
    """Where a millionth is too much, the cure takes for ever."""
    assert at_coldest(48, -40, 100, 300) == float("inf")
    assert at_coldest(48, 20, 20, 50) == 48
