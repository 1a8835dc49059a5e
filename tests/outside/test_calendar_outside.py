"""Calendars against published dates, rules and clock changes (America/New_York)."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from models.axis import Axis, local_instant
from models.calendars import (
    add_working_days,
    count_working_days,
    expand,
    is_working_day,
    open_ticks,
    working_days,
)
from models.yard import Shift, TradeCalendar

NEW_YORK = ZoneInfo("America/New_York")
WEEKDAYS = (1, 2, 3, 4, 5)

# CV-150: US federal holidays of 2026 as observed. Source: 5 U.S.C. 6103 (the rule;
# July 3 for Saturday, July 4).
HOLIDAYS_2026 = frozenset(
    date(2026, month, day)
    for month, day in (
        (1, 1), (1, 19), (2, 16), (5, 25), (6, 19), (7, 3),
        (9, 7), (10, 12), (11, 11), (11, 26), (12, 25),
    )
)  # fmt: skip
# CV-151: those of 2027, derived from the same rule, and CV-152: New Year 2028 is
# a Saturday and observed on Friday, December 31, 2027.
HOLIDAYS_2027 = frozenset(
    date(2027, month, day)
    for month, day in (
        (1, 1), (1, 18), (2, 15), (5, 31), (6, 18), (7, 5),
        (9, 6), (10, 11), (11, 11), (11, 25), (12, 24), (12, 31),
    )
)  # fmt: skip
# Those of 2028, derived from the same rule (November 11 is a Saturday).
HOLIDAYS_2028 = frozenset(
    date(2028, month, day)
    for month, day in (
        (1, 17), (2, 21), (5, 29), (6, 19), (7, 4),
        (9, 4), (10, 9), (11, 10), (11, 23), (12, 25),
    )
)  # fmt: skip
FEDERAL = TradeCalendar(
    "federal",
    (Shift(WEEKDAYS, time(7), time(15, 30)),),
    HOLIDAYS_2026 | HOLIDAYS_2027 | HOLIDAYS_2028,
)


def axis_of(first: date, last: date, zone: ZoneInfo = NEW_YORK) -> Axis:
    """Build an axis from one local midnight to another."""
    start = local_instant(first, time(0), zone)
    length = local_instant(last, time(0), zone) - start
    return Axis(start, 15, length // timedelta(minutes=15), zone.key)


def after(axis: Axis, day: date, at: time, hours: float) -> str:
    """Give the ISO text of an instant some elapsed hours after a local time."""
    begun = axis.tick_ceil(local_instant(day, at, NEW_YORK))
    return axis.iso(begun + round(hours * 4))


def test_the_eleven_holidays_of_2026_are_closed() -> None:
    """CV-150 (5 U.S.C. 6103): each federal holiday of 2026 closes a weekday."""
    axis = axis_of(date(2026, 1, 1), date(2027, 1, 1))
    opened = {day for day, _ in working_days(expand(FEDERAL, axis)[0], axis)}
    weekdays = {
        day
        for n in range(365)
        if (day := date(2026, 1, 1) + timedelta(days=n)).isoweekday() in WEEKDAYS
    }
    assert weekdays - opened == HOLIDAYS_2026
    assert len(HOLIDAYS_2026) == 11
    assert not is_working_day(FEDERAL, date(2026, 7, 3))
    assert not is_working_day(FEDERAL, date(2026, 7, 4))


@pytest.mark.parametrize(
    ("year", "weekdays", "working"),
    [(2026, 261, 250), (2027, 261, 249), (2028, 260, 250)],
)
def test_working_days_of_a_year(year: int, weekdays: int, working: int) -> None:
    """CV-153 (derived from 5 U.S.C. 6103): 261-11, 261-12 and 260-10 days."""
    first, after_last = date(year, 1, 1), date(year + 1, 1, 1)
    plain = TradeCalendar("plain", FEDERAL.shifts)
    assert count_working_days(plain, first, after_last) == weekdays
    assert count_working_days(FEDERAL, first, after_last) == working
    axis = axis_of(first, after_last)
    assert len(working_days(expand(FEDERAL, axis)[0], axis)) == working


@pytest.mark.parametrize(
    ("day", "instant"),
    [
        (date(2026, 3, 8), datetime(2026, 3, 8, 7, tzinfo=UTC)),
        (date(2026, 11, 1), datetime(2026, 11, 1, 6, tzinfo=UTC)),
        (date(2027, 3, 14), datetime(2027, 3, 14, 7, tzinfo=UTC)),
        (date(2027, 11, 7), datetime(2027, 11, 7, 6, tzinfo=UTC)),
        (date(2028, 3, 12), datetime(2028, 3, 12, 7, tzinfo=UTC)),
        (date(2028, 11, 5), datetime(2028, 11, 5, 6, tzinfo=UTC)),
    ],
)
def test_clocks_change_when_the_tz_database_says(day: date, instant: datetime) -> None:
    """CV-154 (tz database; 15 U.S.C. 260a): 07:00Z in March, 06:00Z in November."""
    axis = axis_of(day, day + timedelta(days=1))
    change = axis.tick_ceil(instant)
    assert axis.local(change).utcoffset() != axis.local(change - 1).utcoffset()
    same_before = {axis.local(t).utcoffset() for t in range(change)}
    assert len(same_before) == 1


@pytest.mark.parametrize(
    ("day", "hours"),
    [
        (date(2026, 3, 8), 23),
        (date(2027, 3, 14), 23),
        (date(2026, 11, 1), 25),
        (date(2027, 11, 7), 25),
    ],
)
def test_length_of_the_local_day(day: date, hours: int) -> None:
    """CV-155 (recomputed from the tz database): such a day has 23 or 25 hours."""
    axis = axis_of(day, day + timedelta(days=2))
    assert axis.day_start(day + timedelta(days=1)) - axis.day_start(day) == hours * 4
    round_the_clock = TradeCalendar(
        "nights", (Shift((1, 2, 3, 4, 5, 6, 7), time(0), time(0)),)
    )
    opened, _ = expand(round_the_clock, axis)
    assert opened == ((0, axis.ticks),)
    assert working_days(opened, axis)[0] == (day, hours * 4)


@pytest.mark.parametrize(
    ("day", "at", "hours", "end"),
    [
        # CV-156: a cure of 48 h elapsed.
        (date(2026, 3, 6), time(16), 48, "2026-03-08T17:00-04:00"),
        (date(2026, 10, 30), time(16), 48, "2026-11-01T15:00-05:00"),
        # CV-157: 24 h and 12 h elapsed.
        (date(2026, 3, 7), time(16), 24, "2026-03-08T17:00-04:00"),
        (date(2027, 3, 13), time(18), 12, "2027-03-14T07:00-04:00"),
        (date(2027, 11, 6), time(18), 12, "2027-11-07T05:00-05:00"),
    ],
)
def test_a_cure_over_a_change_of_the_clocks(
    day: date, at: time, hours: int, end: str
) -> None:
    """CV-156, CV-157 (recomputed from the tz database): a cure counts elapsed hours."""
    axis = axis_of(day, day + timedelta(days=7))
    assert after(axis, day, at, hours) == end


@pytest.mark.parametrize(
    ("day", "at", "hours", "first_open"),
    [
        (date(2026, 3, 6), time(16), 48, "2026-03-09T07:00-04:00"),
        (date(2026, 10, 30), time(16), 48, "2026-11-02T07:00-05:00"),
    ],
)
def test_the_shift_after_such_a_cure(
    day: date, at: time, hours: int, first_open: str
) -> None:
    """CV-156: both cures end on a Sunday, so work goes on at seven on Monday."""
    axis = axis_of(day, day + timedelta(days=7))
    look_up = open_ticks(expand(FEDERAL, axis)[0], axis.ticks)
    end = axis.tick_ceil(local_instant(day, at, NEW_YORK)) + hours * 4
    assert axis.iso(look_up.next_open(end) or 0) == first_open


def test_a_reading_that_exists_twice_and_one_that_does_not() -> None:
    """CV-158 (tz database): 01:30 twice on November 1; 02:30 reads back as 03:30."""
    axis = axis_of(date(2026, 11, 1), date(2026, 11, 2))
    shown = [axis.iso(tick) for tick in range(axis.ticks)]
    twice = [text for text in shown if text.startswith("2026-11-01T01:30")]
    assert twice == ["2026-11-01T01:30-04:00", "2026-11-01T01:30-05:00"]
    first = local_instant(date(2026, 11, 1), time(1, 30), NEW_YORK)
    assert axis.iso(axis.tick_floor(first)) == twice[0]

    axis = axis_of(date(2026, 3, 8), date(2026, 3, 9))
    shown = [axis.iso(tick) for tick in range(axis.ticks)]
    assert not any(text.startswith("2026-03-08T02:") for text in shown)
    missing = local_instant(date(2026, 3, 8), time(2, 30), NEW_YORK)
    assert axis.iso(axis.tick_floor(missing)) == "2026-03-08T03:30-04:00"


@pytest.mark.parametrize(
    ("day", "week"),
    [
        ("2020-12-31", "2020-W53-4"),
        ("2021-01-03", "2020-W53-7"),
        ("2021-01-04", "2021-W01-1"),
        ("2024-12-30", "2025-W01-1"),
        ("2025-12-28", "2025-W52-7"),
        ("2025-12-29", "2026-W01-1"),
        ("2026-12-28", "2026-W53-1"),
        ("2027-01-01", "2026-W53-5"),
        ("2027-01-03", "2026-W53-7"),
        ("2027-01-04", "2027-W01-1"),
        ("2028-01-02", "2027-W52-7"),
        ("2028-12-31", "2028-W52-7"),
        ("2005-01-01", "2004-W53-6"),
        ("2008-12-29", "2009-W01-1"),
    ],
)
def test_iso_weeks_of_the_axis(day: str, week: str) -> None:
    """CV-159 (derived from ISO 8601): weeks begin on Monday, week 1 has January 4."""
    local = date.fromisoformat(day)
    axis = axis_of(local - timedelta(days=8), local + timedelta(days=8))
    year, number, weekday = axis.local(axis.day_start(local)).isocalendar()
    assert f"{year}-W{number:02}-{weekday}" == week


def test_years_with_53_weeks() -> None:
    """CV-160 (recomputed from ISO 8601): of 2020 to 2033, 2020, 2026 and 2032."""
    axis = axis_of(date(2020, 1, 1), date(2034, 1, 1))
    last = {
        year: axis.local(axis.day_start(date(year, 12, 28))).isocalendar().week
        for year in range(2020, 2034)
    }
    assert [year for year, weeks in last.items() if weeks == 53] == [2020, 2026, 2032]


def test_working_days_over_holidays() -> None:
    """CV-161 (recomputed): steps and counts with three holidays given."""
    calendar = TradeCalendar(
        "shop",
        FEDERAL.shifts,
        frozenset({date(2026, 11, 26), date(2026, 12, 25), date(2027, 1, 1)}),
    )
    assert add_working_days(calendar, date(2026, 11, 24), 5) == date(2026, 12, 2)
    assert add_working_days(calendar, date(2026, 12, 24), 1) == date(2026, 12, 28)
    assert count_working_days(calendar, date(2026, 11, 23), date(2027, 1, 4)) == 27


@pytest.mark.parametrize(
    "change",
    [date(2026, 3, 8), date(2026, 11, 1), date(2027, 3, 14), date(2027, 11, 7)],
)
@pytest.mark.parametrize("hours", [12, 24, 48])
def test_a_cure_ends_alike_in_utc_and_in_local_time(change: date, hours: int) -> None:
    """CV-244: from either side of a clock change (CV-154), both ways give one end."""
    axis = axis_of(change - timedelta(days=4), change + timedelta(days=6))
    for tick in range(0, 6 * 96, 4):
        end = axis.instant(tick) + timedelta(hours=hours)
        local = axis.local(tick).replace(tzinfo=None)
        offset = axis.local(tick).utcoffset()
        walked = local + timedelta(hours=hours)  # the clock as if nothing had changed
        moved = axis.local(tick + hours * 4).utcoffset()
        assert offset is not None
        assert moved is not None
        read = (walked + (moved - offset)).replace(tzinfo=NEW_YORK, fold=0)
        if read.utcoffset() != moved:
            read = read.replace(fold=1)
        assert read.astimezone(UTC) == end
        assert axis.instant(tick + hours * 4) == end
