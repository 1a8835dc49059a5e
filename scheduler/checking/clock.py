"""Instants as ticks, sets of spans, and times as a planner reads them."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable
from datetime import UTC, date, datetime, timedelta
from itertools import accumulate
from reprlib import repr as short
from zoneinfo import ZoneInfo

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
MINUTE = timedelta(minutes=1)
DAY_NAMES = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
YEARS = range(1971, 2200)

Pair = tuple[int, int]


class NotReadable(Exception):
    """A value of the file is not what it must be."""


def minutes_of(text: object) -> int:
    """Whole minutes from the epoch to an instant in ISO 8601 with offset."""
    if not isinstance(text, str):
        raise NotReadable(f"{short(text)} is not a time")
    try:
        instant = datetime.fromisoformat(text)
    except ValueError:
        raise NotReadable(f"{short(text)} is not a time in ISO 8601") from None
    if instant.tzinfo is None:
        raise NotReadable(f"{short(text)} has no offset from UTC")
    if instant.year not in YEARS:
        raise NotReadable(f"{short(text)} lies in an absurd year")
    minutes, rest = divmod(instant - EPOCH, MINUTE)
    if rest:
        raise NotReadable(f"{short(text)} is not on a whole minute")
    return minutes


class Ticks(dict[str, int]):
    """The tick number of each instant, each text read once."""

    def __init__(self, origin: int, tick_minutes: int) -> None:
        super().__init__()
        self.origin = origin
        self.tick_minutes = tick_minutes

    def __missing__(self, text: str) -> int:
        tick, rest = divmod(minutes_of(text) - self.origin, self.tick_minutes)
        if rest:
            raise NotReadable(
                f"{short(text)} is not on a tick of {self.tick_minutes} minutes"
            )
        self[text] = tick
        return tick


class Clock:
    """The reference axis of a plan and the yard's local days on it."""

    def __init__(self, origin: int, tick_minutes: int, zone: ZoneInfo) -> None:
        self.ticks = Ticks(origin, tick_minutes)
        self.origin = origin
        self.tick_minutes = tick_minutes
        self.zone = zone
        self._days: dict[int, date] = {}

    def local(self, tick: int) -> datetime:
        """Local time at which a tick begins."""
        minutes = self.origin + tick * self.tick_minutes
        return (EPOCH + minutes * MINUTE).astimezone(self.zone)

    def day(self, tick: int) -> date:
        """Local day on which a tick begins."""
        if tick not in self._days:
            self._days[tick] = self.local(tick).date()
        return self._days[tick]

    def midnight(self, day: date) -> int:
        """First tick that begins at or after the start of a local day."""
        start = datetime(day.year, day.month, day.day, tzinfo=self.zone)
        minutes = (start.astimezone(UTC) - EPOCH) // MINUTE
        return -((self.origin - minutes) // self.tick_minutes)

    def when(self, tick: int) -> str:
        """Give day and time as a planner reads them, e.g. Tue 2027-02-09 07:15."""
        local = self.local(tick)
        return f"{DAY_NAMES[local.weekday()]} {local:%Y-%m-%d %H:%M}"

    def span(self, start: int, finish: int) -> str:
        """Give a span as a planner reads it."""
        return f"{self.when(start)} to {self.when(finish)}"

    def hours(self, ticks: int) -> str:
        """Give a number of ticks in hours."""
        return f"{ticks * self.tick_minutes / 60:g} h"


class Spans:
    """A set of ticks as sorted spans [from, to) that neither meet nor overlap."""

    __slots__ = ("_before", "ends", "starts")

    def __init__(self, pairs: Iterable[Pair]) -> None:
        self.starts: list[int] = []
        self.ends: list[int] = []
        self._before: list[int] = []
        last = None
        for start, end in sorted(pairs):
            if last is not None and start <= last:
                last = self.ends[-1] = max(last, end)
            else:
                self.starts.append(start)
                self.ends.append(end)
                last = end

    def pairs(self) -> Iterable[Pair]:
        """Each span in order of time."""
        return zip(self.starts, self.ends, strict=True)

    def covers(self, start: int, end: int) -> bool:
        """Are all ticks of [start, end) in the set?"""
        index = bisect_right(self.starts, start) - 1
        return start >= end or (index >= 0 and self.ends[index] >= end)

    def first_outside(self, start: int) -> int:
        """First tick from `start` on that is not in the set."""
        index = bisect_right(self.starts, start) - 1
        return max(start, self.ends[index]) if index >= 0 else start

    def until(self, tick: int) -> int:
        """How many ticks of the set lie before `tick`."""
        if len(self._before) != len(self.starts) + 1:
            lengths = (end - start for start, end in self.pairs())
            self._before = list(accumulate(lengths, initial=0))
        index = bisect_right(self.starts, tick) - 1
        if index < 0:
            return 0
        return self._before[index] + min(tick, self.ends[index]) - self.starts[index]

    def count(self, start: int, end: int) -> int:
        """How many ticks of [start, end) are in the set; negative if end < start."""
        return self.until(end) - self.until(start)

    def first_overlap(self, start: int, end: int) -> Pair | None:
        """First span that shares a tick with [start, end)."""
        index = bisect_right(self.ends, start)
        if start < end and index < len(self.starts) and self.starts[index] < end:
            return self.starts[index], self.ends[index]
        return None

    def inside(self, start: int, end: int) -> Iterable[Pair]:
        """Pieces of [start, end) that are in the set."""
        index = bisect_right(self.ends, start)
        stop = bisect_left(self.starts, end)
        for begin, finish in zip(
            self.starts[index:stop], self.ends[index:stop], strict=True
        ):
            yield max(begin, start), min(finish, end)

    def without(self, start: int, end: int) -> Iterable[Pair]:
        """Pieces of [start, end) that are not in the set."""
        index = bisect_right(self.ends, start)
        stop = bisect_left(self.starts, end)
        for begin, finish in zip(
            self.starts[index:stop], self.ends[index:stop], strict=True
        ):
            if start < begin:
                yield start, begin
            start = finish
        if start < end:
            yield start, end
