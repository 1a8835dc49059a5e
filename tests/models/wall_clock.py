"""A slow, obvious reading of calendars: walk the clock on the wall by the minute.

It shares nothing with `models.calendars`; tests compare the two.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

from models.axis import Axis
from models.yard import Shift, TradeCalendar

ZONES = (
    "America/New_York",
    "America/Santiago",  # clocks change at midnight
    "Australia/Lord_Howe",  # clocks change by half an hour
    "Europe/Lisbon",
    "Asia/Kathmandu",  # 5 h 45 min ahead of UTC, no change
    "Pacific/Auckland",
)
MINUTE = timedelta(minutes=1)
DAY = timedelta(days=1)


def axis_from(day: date, zone_name: str, days: int, tick_minutes: int = 15) -> Axis:
    """Build an axis that begins with the first minute of a local day."""
    zone = ZoneInfo(zone_name)
    instant = datetime.combine(day, time(12), tzinfo=UTC) - 2 * DAY
    while instant.astimezone(zone).date() < day:
        instant += MINUTE
    return Axis(instant, tick_minutes, days * 1440 // tick_minutes, zone_name)


@lru_cache
def axes(days: int = 14) -> tuple[Axis, ...]:
    """Axes over every change of the clocks in 2026 and over quiet weeks, six zones."""
    out = []
    for zone_name in ZONES:
        zone = ZoneInfo(zone_name)
        mondays = {date(2026, 6, 15), date(2026, 12, 21)}
        noon = datetime(2026, 1, 1, 12, tzinfo=UTC)
        for instant in (noon + n * DAY for n in range(364)):
            offset, after = (
                one.astimezone(zone).utcoffset() for one in (instant, instant + DAY)
            )
            if offset != after:
                day = (instant + DAY).astimezone(zone).date()
                mondays.add(day - (day.isoweekday() - 1) * DAY)
        out += [axis_from(monday, zone_name, days) for monday in sorted(mondays)]
    return tuple(out)


class WallClock:
    """Every minute of an axis (and a day on each side) with what the clock shows."""

    def __init__(self, axis: Axis) -> None:
        self.axis = axis
        self.first = axis.start - DAY
        count = axis.ticks * axis.tick_minutes + 2 * 1440
        self.shown = [
            (self.first + n * MINUTE).astimezone(axis.zone).replace(tzinfo=None)
            for n in range(count)
        ]
        self.minute_of: dict[datetime, int] = {}
        for minute, reading in enumerate(self.shown):
            self.minute_of.setdefault(reading, minute)

    def minute(self, reading: datetime) -> int:
        """The minute in which the clock first shows a reading.

        A reading that the clock jumps over counts on from the last one before it.
        """
        missing = 0
        while reading not in self.minute_of:
            reading -= MINUTE
            missing += 1
        return self.minute_of[reading] + missing

    def local_days(self) -> list[date]:
        """Local days that the axis touches."""
        inside = self.shown[1440:-1440]
        return sorted({reading.date() for reading in inside})

    def shift_ticks(self, shift: Shift, day: date) -> tuple[set[int], set[int]]:
        """Ticks of a shift on one day that are worked, and that a break takes."""
        shift_minutes = set(self.between(day, shift.start, shift.end))
        rest_minutes = {
            minute
            for start, end in shift.breaks
            for minute in self.between(day, start, end)
        }
        whole = self.ticks_of(shift_minutes, whole=True)
        rest = self.ticks_of(rest_minutes, whole=False)
        return whole - rest, whole & rest

    def ticks_of(self, minutes: set[int], *, whole: bool) -> set[int]:
        """Ticks that lie wholly in a set of minutes, or that it touches."""
        size = self.axis.tick_minutes
        take = all if whole else any
        return {
            tick
            for tick in {(minute - 1440) // size for minute in minutes}
            if 0 <= tick < self.axis.ticks
            and take(1440 + tick * size + n in minutes for n in range(size))
        }

    def between(self, day: date, start: time, end: time) -> Iterator[int]:
        """Minutes from one reading of a day to another; 00:00 ends the day."""
        last = datetime.combine(day + DAY if end == time(0) else day, end)
        first = self.minute(datetime.combine(day, start))
        yield from range(first, self.minute(last))

    def open_and_breaks(self, calendar: TradeCalendar) -> tuple[set[int], set[int]]:
        """Open ticks and break ticks of a calendar."""
        opened: set[int] = set()
        breaks: set[int] = set()
        for day in self.local_days():
            for shift in calendar.shifts:
                if day.isoweekday() in shift.days and day not in calendar.holidays:
                    work, rest = self.shift_ticks(shift, day)
                    opened |= work
                    breaks |= rest
        return opened, breaks - opened
