"""Work outside the yard leaves and comes back at ends of working days."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time
from zoneinfo import ZoneInfo

import pytest

from models.axis import Axis, local_instant
from models.calendars import expand
from models.outside import day_ends, day_ends_left
from models.yard import Shift, TradeCalendar

ZONE = "America/New_York"
SHOP = TradeCalendar(
    "shop",
    (Shift((1, 2, 3, 4, 5), time(7), time(15, 30), ((time(12), time(12, 30)),)),),
    holidays=frozenset({date(2027, 3, 12)}),
)


def axis() -> Axis:
    """Three weeks around the day on which clocks go forward, Sunday 2027-03-14."""
    endless = Axis(
        local_instant(date(2027, 3, 8), time(0), ZoneInfo(ZONE)), 15, 0, ZONE
    )
    return replace(endless, ticks=endless.day_start(date(2027, 3, 29)))


def test_ends_of_days_are_their_last_ticks() -> None:
    """A tick before half past three, but not on holidays and weekends."""
    laid = axis()
    ends = day_ends(expand(SHOP, laid)[0], laid)
    assert [laid.iso(start)[:16] for start, _ in ends[:5]] == [
        "2027-03-08T15:15",
        "2027-03-09T15:15",
        "2027-03-10T15:15",
        "2027-03-11T15:15",
        "2027-03-15T15:15",
    ]
    assert all(end - start == 1 for start, end in ends)


@pytest.mark.parametrize(
    ("left", "now", "expected"),
    [(None, 0, 4), (0, 0, 4), (0, 10, 3), (0, 25, 2), (12, 25, 3), (0, 500, 1)],
)
def test_what_is_left_of_a_lead(left: int | None, now: int, expected: int) -> None:
    """Three days of lead are four ends of days, less those seen; at least one."""
    ends = [(9, 10), (19, 20), (29, 30)]
    assert day_ends_left(3, ends, left, now) == expected
