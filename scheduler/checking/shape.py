"""Is every field of a plan file there, of its type and in its range?"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from operator import itemgetter
from reprlib import repr as short
from typing import Any

from scheduler.checking.clock import NotReadable, Pair, Ticks

Row = dict[str, Any]
Reader = Callable[[Any], Any]
LARGEST = 10**15


def text(value: Any) -> str:
    """Read a text that is not empty."""
    if not isinstance(value, str) or not value:
        raise NotReadable(f"{short(value)} is not a text")
    return value


def texts(value: Any) -> list[str]:
    """Read a list of texts."""
    if not isinstance(value, list):
        raise NotReadable(f"{short(value)} is not a list")
    return [text(one) for one in value]


def whole(value: Any) -> int:
    """Read a whole number that is not negative."""
    if type(value) is not int or value < 0 or value > LARGEST:
        raise NotReadable(f"{short(value)} is not a whole number from 0 to {LARGEST}")
    return value


def number(value: Any) -> int | float:
    """Read a finite number that is not negative."""
    # A comparison with not-a-number is false, so it does not pass either.
    if type(value) in (int, float) and 0 <= value <= LARGEST:
        return value  # type: ignore[no-any-return]
    raise NotReadable(f"{short(value)} is not a number from 0 to {LARGEST}")


def celsius(value: Any) -> int | float:
    """Read a temperature in degrees Celsius."""
    if type(value) in (int, float) and -273 < value <= 1000:
        return value  # type: ignore[no-any-return]
    raise NotReadable(f"{short(value)} is not a temperature in degrees Celsius")


def numbers(value: Any) -> list[int | float]:
    """Read a list of numbers."""
    if not isinstance(value, list):
        raise NotReadable(f"{short(value)} is not a list")
    return [number(one) for one in value]


def flag(value: Any) -> bool:
    """Read true or false."""
    if value is not True and value is not False:
        raise NotReadable(f"{short(value)} is not true or false")
    return value


def day(value: Any) -> date:
    """Read a local date."""
    try:
        return date.fromisoformat(value)
    except (TypeError, ValueError):
        raise NotReadable(f"{short(value)} is not a date") from None


def weekday(value: Any) -> int:
    """Read a day of the week, 1 for Monday."""
    if type(value) is not int or value not in range(1, 8):
        raise NotReadable(f"{short(value)} is not a day of the week from 1 to 7")
    return value


def demands(value: Any) -> list[tuple[str, int]]:
    """Read what an operation takes of stations."""
    found = []
    for one in value if isinstance(value, list) else [None]:
        if not isinstance(one, dict) or one.keys() != {"resource", "amount"}:
            raise NotReadable(f"{short(value)} is not a list of resource and amount")
        found.append((text(one["resource"]), whole(one["amount"])))
    return found


def setups(value: Any) -> list[tuple[str, str, int]]:
    """Read how long a station is set up from one family of color to another."""
    found = []
    for one in value if isinstance(value, list) else [None]:
        if not isinstance(one, dict) or one.keys() != {"from", "to", "minutes"}:
            raise NotReadable(f"{short(value)} is not a list of from, to and minutes")
        found.append((text(one["from"]), text(one["to"]), whole(one["minutes"])))
    return found


def choice(words: str) -> Reader:
    """Make a reader of one of some words."""
    allowed = words.split("|")

    def read(value: Any) -> Any:
        if isinstance(value, str) and value in allowed:
            return value
        raise NotReadable(f"{short(value)} is not one of {', '.join(allowed)}")

    return read


def optional(reader: Reader) -> Reader:
    """Make a reader that lets null pass."""
    return lambda value: None if value is None else reader(value)


class Shapes:
    """Readers of every kind of field on one reference axis."""

    def __init__(self, ticks: Ticks) -> None:
        self.ticks = ticks
        self.faults: list[str] = []
        self._spans: dict[int, list[Pair]] = {}  # by object: one list for many people
        self._readers: dict[str, Reader] = {
            "text": text,
            "texts": texts,
            "whole": whole,
            "number": number,
            "numbers": numbers,
            "celsius": celsius,
            "flag": flag,
            "date": day,
            "weekday": weekday,
            "demands": demands,
            "setups": setups,
            "instant": self.instant,
            "spans": self.spans,
            "span": self.span,
            "stints": self.stints,
        }

    def instant(self, value: Any) -> int:
        """Read an instant as a tick number."""
        try:
            return self.ticks[value]
        except TypeError:
            raise NotReadable(f"{short(value)} is not a time") from None

    def spans(self, value: Any) -> list[Pair]:
        """Read a list of spans [from, to]; one that many rows hold, once."""
        if not isinstance(value, list):
            raise NotReadable(f"{short(value)} is not a list of spans")
        if id(value) not in self._spans:
            self._spans[id(value)] = self._read_spans(value)
        return self._spans[id(value)]

    def _read_spans(self, value: list[Any]) -> list[Pair]:
        ticks = self.ticks
        try:
            found = [(ticks[start], ticks[end]) for start, end in value]
        except (TypeError, ValueError):
            raise NotReadable(f"{short(value)} is not a list of spans") from None
        for index, (start, end) in enumerate(found):
            if start >= end:
                raise NotReadable(f"{short(value[index])} does not end after it begins")
        return found

    def span(self, value: Any) -> Pair:
        """Read one span [from, to]."""
        return self._read_spans([value])[0]

    def stints(self, value: Any) -> list[tuple[str, int, int]]:
        """Read who works from when to when."""
        found = []
        for one in value if isinstance(value, list) else [None]:
            if not isinstance(one, dict) or one.keys() != {"id", "from", "to"}:
                raise NotReadable(f"{short(value)} is not a list of id, from and to")
            start, end = self.instant(one["from"]), self.instant(one["to"])
            if start >= end:
                raise NotReadable(f"{short(one)} does not end after it begins")
            found.append((text(one["id"]), start, end))
        return found

    def row(self, value: Any, kinds: dict[str, str], where: str) -> Row | None:
        """Read one object; None, and faults noted, if it is not as it must be."""
        if not isinstance(value, dict):
            self.faults.append(f"{where} is not an object.")
            return None
        if value.keys() != kinds.keys():
            self._wrong_keys(value, kinds, where)
            return None
        readers = self._readers
        try:
            return {name: readers[kind](value[name]) for name, kind in kinds.items()}
        except (NotReadable, KeyError):
            return self._row_by_field(value, kinds, where)

    def _row_by_field(
        self, value: Row, kinds: dict[str, str], where: str
    ) -> Row | None:
        """Read an object field by field, to make missing readers or name a fault."""
        found: Row = {}
        for name, kind in kinds.items():
            try:
                found[name] = self.reader(kind)(value[name])
            except NotReadable as fault:
                self.faults.append(f"{_label(value, where)}: {name}: {fault}.")
        return found if len(found) == len(kinds) else None

    def rows(self, block: Row, name: str, kinds: dict[str, str]) -> list[Row]:
        """Read a list of objects."""
        value = block.get(name)
        if not isinstance(value, list):
            self.faults.append(f"{name} is missing or not a list.")
            return []
        whole = self._by_column(value, kinds)
        if whole is not None:
            return whole
        found = (
            self.row(one, kinds, f"{name}[{index}]") for index, one in enumerate(value)
        )
        return [row for row in found if row is not None]

    def _by_column(self, value: list[Any], kinds: dict[str, str]) -> list[Row] | None:
        """Read a list of objects field by field; None if anything is not as it must be.

        Several times as fast as row by row, which then says what is wrong.
        """
        names = kinds.keys()
        if not all(isinstance(one, dict) and one.keys() == names for one in value):
            return None
        rows = [one.copy() for one in value]
        for name, kind in kinds.items():
            column = list(map(itemgetter(name), value))
            types = set(map(type, column))
            if (kind == "text" and types == {str} and "" not in column) or (
                kind == "flag" and types == {bool}
            ):
                continue  # as it stands
            reader = self.reader(kind)
            if kind == "instant" and types == {str}:
                reader = self.ticks.__getitem__
            try:
                for row, found in zip(rows, map(reader, column), strict=True):
                    row[name] = found
            except NotReadable:
                return None
        return rows

    def reader(self, kind: str) -> Reader:
        """The reader of a kind of field."""
        if kind not in self._readers:
            if kind.endswith("?"):
                self._readers[kind] = optional(self.reader(kind[:-1]))
            else:
                self._readers[kind] = choice(kind)
        return self._readers[kind]

    def _wrong_keys(self, value: Row, kinds: dict[str, str], where: str) -> None:
        label = _label(value, where)
        for name in sorted(kinds.keys() - value.keys()):
            self.faults.append(f"{label}: {name} is missing.")
        for key in sorted(map(short, value.keys() - kinds.keys())):
            self.faults.append(f"{label}: {key} is not known to the checker.")


def _label(value: Row, where: str) -> str:
    """Name an object by place and by what identifies it."""
    for name in ("id", "operation", "order", "name"):
        if isinstance(value.get(name), str):
            return f"{where} ({value[name]})"
    return where
