"""`yard.toml`: what one entry must satisfy, and what its defaults are."""

from __future__ import annotations

from datetime import date, datetime, time
from zoneinfo import ZoneInfo

import pytest

from models.loading import load_book
from models.yard import LEVEL_NAMES, Outage, Shift
from tests.models.loading.conftest import TinyYard
from tests.models.tiny import tiny_yard

SHIFT = 'start = "06:00", end = "14:30", breaks = [["12:00", "12:30"]]'


def test_everything_is_read() -> None:
    """The plain data say what the file says."""
    yard = tiny_yard()
    assert (yard.name, yard.time_zone) == ("Little Yard", "America/New_York")
    assert yard.as_of == date(2027, 3, 1)
    assert yard.calendars[0].shifts == (
        Shift((1, 2, 3, 4, 5), time(6), time(14, 30), ((time(12), time(12, 30)),)),
    )
    assert yard.calendars[0].holidays == {date(2027, 5, 31)}
    assert yard.calendars[0].breaks_relieved
    assert not yard.calendars[1].breaks_relieved
    assert yard.stations[0].capacity == 1
    assert yard.stations[1].capacity is None
    assert yard.places[0].models == ()
    assert yard.people[0].leave == ((date(2027, 3, 15), date(2027, 3, 19)),)
    assert yard.allowances == {"shop": 0.15}
    assert yard.objective.levels == LEVEL_NAMES
    assert yard.objective.mold_day_rate == 3


def test_calendar_without_holidays(tiny: TinyYard) -> None:
    """A calendar may work through the yard's holidays."""
    tiny.replace("yard.toml", '{ id = "late", ', '{ id = "late", holidays = false, ')
    shop, late = load_book(tiny.folder).yard.calendars
    assert shop.holidays
    assert not late.holidays


def test_outages(tiny: TinyYard) -> None:
    """Outages are local times to the minute."""
    tiny.replace(
        "yard.toml",
        'kind = "bay" }',
        'kind = "bay", outages = [["2027-03-02T06:00", "2027-03-03T14:30"]] }',
    )
    assert load_book(tiny.folder).yard.places[0].outages == (
        Outage(
            datetime(2027, 3, 2, 6),  # noqa: DTZ001
            datetime(2027, 3, 3, 14, 30),  # noqa: DTZ001
        ),
    )


def test_midnight_ends_a_shift(tiny: TinyYard) -> None:
    """00:00 as an end is midnight at the end of the day."""
    tiny.replace("yard.toml", 'end = "22:30"', 'end = "00:00"')
    assert load_book(tiny.folder).yard.calendars[1].shifts[0].end == time(0)


def test_today_is_the_default(tiny: TinyYard) -> None:
    """Without `as_of` the plan starts today, by the yard's own clock."""
    tiny.replace("yard.toml", "as_of = 2027-03-01\n", "")
    for name in ("in_hand.csv", "locks.csv", "arrivals.csv"):
        (tiny.folder / name).unlink()
    zone = ZoneInfo("America/New_York")
    before = datetime.now(zone).date()
    as_of = load_book(tiny.folder).yard.as_of
    assert before <= as_of <= datetime.now(zone).date()


@pytest.mark.parametrize(
    ("old", "new", "where", "expected"),
    [
        ("America/New_York", "America/Atlantis", "time_zone", "a time zone"),
        ("tick_minutes = 15", "tick_minutes = 7", "tick_minutes", "divides an hour"),
        ("frozen_days = 7", "frozen_days = -1", "frozen_days", "at least 0"),
        ("buffer_days = 5", "buffer_days = 5.5", "buffer_days", "a whole number"),
        ("buffer_days = 5\n", "", "buffer_days", "a value (this key is required)"),
        ("shop = 0.15", "shop = 15", "allowances.shop", "at most 1"),
        ('"mon", ', '"mo", ', "calendars.shop.shifts.1.days.1", "'mon', 'tue'"),
        ('start = "06:00"', 'start = "6 am"', "calendars.shop.shifts.1.start", "06:30"),
        (
            '"12:30"]]',
            '"12:30"], ["12:15", "12:45"]]',
            "calendars.shop.shifts.1",
            "breaks that do not overlap each other",
        ),
        ('["12:00", "12:30"]', '["12:30", "12:00"]', "calendars.shop.shifts.1", "ends"),
        (
            '["12:00", "12:30"]',
            '["12:00"]',
            "calendars.shop.shifts.1.breaks.1",
            "two values",
        ),
        (
            '["2027-03-15", "2027-03-19"]',
            '["2027-03-19", "2027-03-15"]',
            "people.LM-01.leave.1",
            "a first day that is not after the last day",
        ),
        (
            'kind = "bay" }',
            'kind = "bay", outages = [["2027-03-03T06:00", "2027-03-02T06:00"]] }',
            "places.Bay 1.outages.1",
            "a span whose end is after its start",
        ),
        ('"changes", ', "", "objective.levels", "tardiness first"),
        ("[objective]", "[objective]\ntolerances = [1, 0, 0, 0, 0]", "", "first of"),
        ("[objective]", "[objective]\nweight_promised = 0", "", "at least 1"),
        ('models = ["skiff-16"] }', "models = [] }", "molds.H16-1.models", "at least"),
    ],
)
def test_refused(tiny: TinyYard, old: str, new: str, where: str, expected: str) -> None:
    """An entry that cannot be meant is one fault, with its place."""
    tiny.replace("yard.toml", old, new)
    fault = tiny.fault()
    assert fault.file == "yard.toml"
    assert where in fault.where
    assert expected in fault.expected
