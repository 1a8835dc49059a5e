"""The reference axis counts true elapsed time and knows the yard's local days."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from models.axis import Axis, local_instant

ZONES = (
    "America/New_York",
    "America/Santiago",  # clocks change at midnight
    "Australia/Lord_Howe",  # clocks change by half an hour
    "Europe/Lisbon",
    "Asia/Kathmandu",  # 5 h 45 min ahead of UTC, no change
    "Pacific/Auckland",
)


def axis_from(
    day: date, zone_name: str, days: int = 28, tick_minutes: int = 15
) -> Axis:
    """Build an axis that begins at local midnight."""
    start = local_instant(day, time(0), ZoneInfo(zone_name))
    return Axis(start, tick_minutes, days * 24 * 60 // tick_minutes, zone_name)


@given(
    st.sampled_from(ZONES),
    st.sampled_from((5, 15, 30)),
    st.integers(-2_000, 40_000),
)
def test_floor_and_ceiling_enclose_an_instant(
    zone_name: str, tick_minutes: int, minute: int
) -> None:
    """An instant lies between its floor and its ceiling, less than a tick apart."""
    axis = axis_from(date(2026, 2, 16), zone_name, tick_minutes=tick_minutes)
    instant = axis.start + timedelta(minutes=minute)
    low, high = axis.tick_floor(instant), axis.tick_ceil(instant)
    assert axis.instant(low) <= instant <= axis.instant(high)
    assert high - low == (0 if minute % tick_minutes == 0 else 1)


@given(st.sampled_from(ZONES), st.integers(0, 60_000))
def test_iso_text_reads_back_as_the_same_tick(zone_name: str, tick: int) -> None:
    """The ISO text of a tick, offset included, names that tick alone."""
    axis = axis_from(date(2026, 1, 5), zone_name)
    assert axis.tick_floor(datetime.fromisoformat(axis.iso(tick))) == tick


@given(st.sampled_from(ZONES), st.integers(0, 700))
def test_a_local_day_begins_with_its_first_tick(zone_name: str, count: int) -> None:
    """The tick of a day's start is on that day, and the tick before it is not."""
    axis = axis_from(date(2026, 1, 5), zone_name, days=760)
    day = date(2026, 1, 5) + timedelta(days=count)
    tick = axis.day_start(day)
    assert axis.local(tick).date() == day
    assert axis.local(tick - 1).date() < day


@pytest.mark.parametrize("zone_name", ZONES)
def test_local_readings_match_the_clock_on_the_wall(zone_name: str) -> None:
    """A reading that exists once names the instant at which a clock shows it."""
    zone = ZoneInfo(zone_name)
    instant = datetime(2026, 1, 1, tzinfo=UTC)
    seen: dict[datetime, list[datetime]] = {}
    while instant < datetime(2027, 1, 1, tzinfo=UTC):
        seen.setdefault(instant.astimezone(zone).replace(tzinfo=None), []).append(
            instant
        )
        instant += timedelta(minutes=30)
    for reading, instants in seen.items():
        assert local_instant(reading.date(), reading.time(), zone) == instants[0]
