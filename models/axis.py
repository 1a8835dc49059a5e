"""The reference axis: whole ticks of UTC time, and the yard's local days on it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from functools import cached_property
from zoneinfo import ZoneInfo


def local_instant(day: date, at: time, zone: ZoneInfo) -> datetime:
    """Turn a local wall-clock reading into an instant in UTC.

    A reading that occurs twice (clocks go back) means the first; one that does not
    exist (clocks go forward) is read with the offset before the change, which lands
    as much later as the clock jumped.
    """
    return datetime.combine(day, at, tzinfo=zone).astimezone(UTC)


@dataclass(frozen=True)
class Axis:
    """Ticks of `tick_minutes` from `start` (an instant in UTC) on.

    Tick t is the span [start + t x tick, start + (t + 1) x tick). Instants that are
    compared by the scheduler are tick numbers.
    """

    start: datetime
    tick_minutes: int
    ticks: int
    zone_name: str

    @cached_property
    def zone(self) -> ZoneInfo:
        """The yard's time zone."""
        return ZoneInfo(self.zone_name)

    @property
    def ticks_per_day(self) -> int:
        """Ticks in 24 hours of wall time."""
        return 24 * 60 // self.tick_minutes

    def instant(self, tick: int) -> datetime:
        """The instant in UTC at which a tick begins."""
        return self.start + timedelta(minutes=int(tick) * self.tick_minutes)

    def local(self, tick: int) -> datetime:
        """The instant at which a tick begins, with the yard's offset."""
        return self.instant(tick).astimezone(self.zone)

    def iso(self, tick: int) -> str:
        """ISO 8601 text, with offset, of the instant at which a tick begins."""
        text = self._iso_texts.get(tick)
        if text is None:
            text = self.local(tick).isoformat(timespec="minutes")
            self._iso_texts[tick] = text
        return text

    @cached_property
    def _iso_texts(self) -> dict[int, str]:
        """Texts given before: a plan file writes each instant many times."""
        return {}

    def tick_floor(self, instant: datetime) -> int:
        """The tick that holds an instant (may lie outside the axis)."""
        return (instant - self.start) // timedelta(minutes=self.tick_minutes)

    def tick_of_iso(self, text: str) -> int:
        """The tick that holds an instant given as ISO 8601 text with offset."""
        tick = self._iso_ticks.get(text)
        if tick is None:
            tick = self.tick_floor(datetime.fromisoformat(text))
            self._iso_ticks[text] = tick
        return tick

    @cached_property
    def _iso_ticks(self) -> dict[str, int]:
        """Texts read before, for the same reason as `_iso_texts`."""
        return {}

    def tick_ceil(self, instant: datetime) -> int:
        """The first tick that begins at or after an instant."""
        return -((self.start - instant) // timedelta(minutes=self.tick_minutes))

    def day_start(self, day: date) -> int:
        """The first tick at or after local midnight at the start of a day."""
        return self.tick_ceil(local_instant(day, time(0), self.zone))
