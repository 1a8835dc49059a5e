"""Figures of pace hold for any input that makes sense, and refuse others."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from models.takt import (
    elapsed_hours,
    fewest_stations,
    line_efficiency,
    people_needed,
    takt_time,
    units_due,
    whole_people,
)

TIMES = st.lists(st.integers(1, 60), min_size=1, max_size=20)


@given(st.integers(1, 1000), st.integers(1, 1000))
def test_units_at_the_takt_fill_the_time(available: int, units: int) -> None:
    """Units, one every takt, take exactly the time available."""
    assert takt_time(available, units) * units == pytest.approx(available)


@given(st.integers(1, 2000), st.integers(1, 100), st.integers(1, 2000))
def test_whole_people_are_enough_and_one_less_is_not(
    hours: int, units: int, each: int
) -> None:
    """The people given can do the work, and one fewer could not."""
    people = whole_people(people_needed(hours, units, each))
    assert (people - 1) * each < hours * units <= people * each


@given(TIMES, st.integers(1, 100))
def test_no_line_is_more_than_fully_used(times: list[int], cycle: int) -> None:
    """With the fewest stations a total allows, efficiency is at most one."""
    stations = fewest_stations(times, cycle)
    assert 0 < line_efficiency(times, stations, cycle) <= 1
    if stations > 1:
        assert line_efficiency(times, stations - 1, cycle) > 1


@given(st.integers(0, 400), st.integers(1, 6), st.sampled_from([5, 15, 30]))
def test_elapsed_time_is_whole_ticks_that_suffice(
    quarters: int, crew: int, tick_minutes: int
) -> None:
    """Elapsed time is the least whole ticks in which a crew gives the hours."""
    hours = elapsed_hours(quarters / 4, crew, tick_minutes)
    tick = tick_minutes / 60
    assert hours / tick == pytest.approx(round(hours / tick))
    assert quarters / 4 - 1e-6 <= hours * crew < quarters / 4 + crew * tick


def test_nothing_is_due_before_the_first_unit_must_start() -> None:
    """Before the first delivery less the lead time no unit is due."""
    assert units_due(0.5, 10, 4, 5) == 0


@pytest.mark.parametrize("wrong", [0, -1])
def test_senseless_input_is_refused(wrong: int) -> None:
    """Nothing is divided by zero or less without saying so."""
    with pytest.raises(ValueError, match="units must be more than 0"):
        takt_time(8, wrong)
    with pytest.raises(ValueError, match="hours_per_person must be more than 0"):
        people_needed(1, 1, wrong)
    with pytest.raises(ValueError, match="cycle_time must be more than 0"):
        fewest_stations([1], wrong)
