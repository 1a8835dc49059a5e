"""One entry from the floor, and which entries hold."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

START, PAUSE, FINISH = "start", "pause", "finish"
HOURS, PEOPLE, SCRAP, REWORK = "hours", "people", "scrap", "rework"
GATE, WITHDRAW = "gate", "withdraw"
KINDS = (START, PAUSE, FINISH, HOURS, PEOPLE, SCRAP, REWORK, GATE, WITHDRAW)
PASS, FAIL = "pass", "fail"

Key = tuple[str, str, str, datetime]


@dataclass(frozen=True, slots=True)
class FloorEntry:
    """Something that happened to an operation; `at` is naive local time.

    `hours` are labor hours: worked since the entry before, or, of a rework, to be
    worked again. A gate that failed may ask for `rework_hours`, done as `rework_step`
    is or, without it, as the step of the gate.
    `remaining_hours` is what the floor says is left. Degrees, humidity
    and batch are those of gel coat and laminate; `photo` is the name or number of a
    picture kept elsewhere, which nothing here reads.
    """

    order: str
    operation: str
    what: str  # one of KINDS
    at: datetime
    hours: float | None = None
    remaining_hours: float | None = None
    people: tuple[str, ...] = ()
    mold: str | None = None
    place: str | None = None
    note: str = ""
    result: str | None = None  # of a gate: pass | fail
    air_celsius: float | None = None
    mold_celsius: float | None = None
    humidity_percent: float | None = None  # relative
    batch: str = ""
    photo: str = ""
    rework_hours: float | None = None  # of a gate that failed
    rework_step: str | None = None

    @property
    def key(self) -> Key:
        """What tells entries apart: the same thing at the same minute is one."""
        return self.order, self.operation, self.what, self.at

    @property
    def conditions(self) -> list[str]:
        """What was measured and used, in words."""
        measured = (
            (self.air_celsius, "air {:g} °C"),
            (self.mold_celsius, "mold {:g} °C"),
            (self.humidity_percent, "humidity {:g} %"),
        )
        told = [words.format(value) for value, words in measured if value is not None]
        told += [f"batch {self.batch}"] if self.batch else []
        return told + ([f"photo {self.photo}"] if self.photo else [])

    @property
    def text(self) -> str:
        """The entry in a few words."""
        told = [self.order, self.operation, self.what, f"{self.at:%Y-%m-%d %H:%M}"]
        if self.result is not None:
            told.append(self.result)
        if self.hours is not None:
            told.append(f"{self.hours:g} h")
        if self.rework_hours is not None:
            like = f" as {self.rework_step}" if self.rework_step else ""
            told.append(f"{self.rework_hours:g} h of rework{like}")
        if self.remaining_hours is not None:
            told.append(f"{self.remaining_hours:g} h left")
        told += [name for name in (self.mold, self.place) if name is not None]
        if self.people:
            told.append(";".join(self.people))
        told += self.conditions
        return " ".join(told) + (f" ({self.note})" if self.note else "")


@dataclass(frozen=True, slots=True)
class Recorded:
    """An entry as it was written; `corrects` is the number of an earlier one.

    `warnings` are those with which it was kept.
    """

    number: int
    entry: FloorEntry
    corrects: int | None
    who: str = ""
    recorded_at: datetime | None = None  # an instant
    why: str = ""
    warnings: tuple[str, ...] = ()


def standing(rows: Iterable[Recorded]) -> list[FloorEntry]:
    """The entries that hold, oldest first: neither corrected nor withdrawn.

    Entries of the same minute stay in the order in which they were written.
    """
    return [row.entry for row in standing_rows(rows)]


def standing_rows(rows: Iterable[Recorded]) -> list[Recorded]:
    """The entries that hold, as they were written; in the order of `standing`."""
    known = list(rows)
    replaced = {row.corrects for row in known}
    left = [
        row
        for row in sorted(known, key=lambda row: row.number)
        if row.number not in replaced and row.entry.what != WITHDRAW
    ]
    return sorted(left, key=lambda row: row.entry.at)
