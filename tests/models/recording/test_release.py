"""When waits have passed."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from models.boat import RoutingWait
from models.cures import ShopTemperature, relative_rate
from models.recording.release import released_at

ZONE = "America/New_York"
CURE = RoutingWait("cure", "a", "b", min_hours=48.0, data_sheet_min_hours=48.0)
BY_WARMTH = RoutingWait(
    "cure", "a", "b", min_hours=24.0, data_sheet_min_hours=24.0,
    activation_kj_per_mol=50.0, reference_celsius=25.0,
)  # fmt: skip


at = datetime.fromisoformat


def constant(celsius: float) -> ShopTemperature:
    """A shop in which it is always as warm."""
    return ShopTemperature((celsius,) * 12)


def test_a_cure_ends_after_its_hours() -> None:
    """48 h on the wall clock, nights and Sundays included."""
    begun = at("2027-03-05T14:10")
    assert released_at(CURE, begun, ZONE, None) == at("2027-03-07T14:10")


@pytest.mark.parametrize(
    ("begun", "end"),
    [
        # Clocks go forward on March 14, 2027, and back on November 7 (tz database).
        (
            at("2027-03-13T12:00"),
            at("2027-03-15T13:00"),
        ),
        (
            at("2027-11-06T12:00"),
            at("2027-11-08T11:00"),
        ),
    ],
)
def test_nights_on_which_clocks_change(begun: datetime, end: datetime) -> None:
    """A resin does not know of daylight saving."""
    assert released_at(CURE, begun, ZONE, None) == end


def test_a_cold_shop_takes_longer() -> None:
    """At a constant 15 C the time is the data sheet's over the rate of Arrhenius."""
    begun = at("2027-02-01T06:00")
    end = released_at(BY_WARMTH, begun, ZONE, constant(15.0))
    assert end is not None
    hours = 24 / relative_rate(15.0, 25.0, 50.0)
    assert abs((end - begun) / timedelta(hours=1) - hours) < 2 / 60
    assert hours > 48


@given(st.floats(25.0, 40.0), st.integers(0, 1439))
def test_a_warm_shop_never_shortens(celsius: float, minute: int) -> None:
    """From the reference temperature on, the data sheet's time holds."""
    begun = at("2027-02-01T00:00") + timedelta(minutes=minute)
    end = released_at(BY_WARMTH, begun, ZONE, constant(celsius))
    assert end == begun + timedelta(hours=24)


def test_a_cure_that_never_ends() -> None:
    """So cold that not a millionth of it passes."""
    assert (
        released_at(
            BY_WARMTH,
            at("2027-02-01T00:00"),
            ZONE,
            constant(-200.0),
        )
        is None
    )
