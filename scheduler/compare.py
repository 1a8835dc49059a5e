"""Compare the problem of a plan with the one rebuilt from the data.

The checker trusts the problem block. Whether that block is what the yard and the order
book say, whether a wait was dropped or a person made up, only a second look at the data
can tell.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import fields
from datetime import timedelta
from itertools import zip_longest
from typing import Any

from scheduler.problem import Committed, Problem, Span

_Key = tuple[object, ...]
_INSTANTS = {"release", "earliest", "start", "finish"}
_SPANS = {"open", "breaks", "available", "unavailable"}
_UNORDERED = {
    "skills",
    "lead_for",
    "apprentice_in",
    "models",
    "parts",
    "demands",
    "people",
}
_HOURS = 1e-9  # below this, hours are the same

# List of the problem, what its rows are called, and what tells them apart.
_LISTS: tuple[tuple[str, str, Callable[[Any], _Key]], ...] = (
    ("calendars", "Calendar", lambda row: (row.id,)),
    ("overtime", "Overtime window", lambda row: (row.id,)),
    ("overtime_limits", "Overtime limit of", lambda row: (row.person,)),
    ("people", "Person", lambda row: (row.id,)),
    ("molds", "Mold", lambda row: (row.id,)),
    ("places", "Place", lambda row: (row.id,)),
    ("stations", "Station", lambda row: (row.id,)),
    ("limits", "Limit", lambda row: (row.id,)),
    ("orders", "Order", lambda row: (row.order,)),
    ("parts", "Part", lambda row: (row.order, row.part)),
    ("operations", "Operation", lambda row: (row.id,)),
    (
        "waits",
        "Wait",
        lambda row: (row.kind, row.before, row.before_of, row.after, row.after_of),
    ),
)
_ONCE = ("week_start", "delivery_calendar", "buffer_days")


def compare(plan: Problem, rebuilt: Problem) -> list[str]:
    """List every difference between a plan's problem and the data, one sentence each.

    Parameters
    ----------
    plan : Problem
        The problem block of a plan file.
    rebuilt : Problem
        The problem built anew from the yard and the orders.

    Returns
    -------
    list of str
        Empty if the plan was made for this data. Two things may differ: how far the
        axis reaches, and what an earlier plan gave (frozen and published work).
    """
    axes = list(_axes(plan, rebuilt))
    if axes:
        return axes
    return [
        *_once(plan, rebuilt),
        *(
            sentence
            for name, title, key in _LISTS
            for sentence in _Rows(plan, rebuilt, title, key).differences(name)
        ),
        *_given(plan, rebuilt),
    ]


def _axes(plan: Problem, rebuilt: Problem) -> Iterator[str]:
    """Yield differences that leave no instants to compare."""
    one, other = plan.axis, rebuilt.axis
    if one.zone_name != other.zone_name:
        yield f"The plan is in {one.zone_name}, the yard in {other.zone_name}."
    if one.tick_minutes != other.tick_minutes:
        yield (
            f"The plan has ticks of {one.tick_minutes} minutes, the yard of "
            f"{other.tick_minutes}."
        )
    elif (other.start - one.start) % timedelta(minutes=one.tick_minutes):
        yield "The ticks of the plan do not begin on those of the data."


def _shift(plan: Problem, rebuilt: Problem) -> int:
    """Ticks by which the axis of the data begins later than that of the plan."""
    return plan.axis.tick_floor(rebuilt.axis.start)


def _once(plan: Problem, rebuilt: Problem) -> Iterator[str]:
    shift, axis = _shift(plan, rebuilt), plan.axis
    if shift:
        yield (
            f"The axis of the plan begins {axis.iso(0)}, that of the data "
            f"{axis.iso(shift)}."
        )
    for name in ("now", "frozen_until"):
        one, other = getattr(plan, name), getattr(rebuilt, name) + shift
        if one != other:
            yield _differ("The plan", name, axis.iso(one), axis.iso(other))
    for name in _ONCE:
        one, other = getattr(plan, name), getattr(rebuilt, name)
        if one != other:
            yield _differ("The plan", name, one, other)
    yield from _temperature(plan, rebuilt, shift)
    for entry in fields(plan.objective):
        one = getattr(plan.objective, entry.name)
        other = getattr(rebuilt.objective, entry.name)
        if one != other:
            yield _differ("The objective", entry.name, one, other)


def _temperature(plan: Problem, rebuilt: Problem, shift: int) -> Iterator[str]:
    """Yield a difference of the shop's temperature on the days of both axes."""
    axis = plan.axis
    last = axis.local(min(axis.ticks, rebuilt.axis.ticks + shift)).date().isoformat()
    first = axis.local(max(0, shift)).date().isoformat()
    ours, theirs = (
        tuple(
            (max(row.date, first), row.celsius)
            for row, after in zip_longest(rows, rows[1:])
            if row.date <= last and (after is None or after.date > first)
        )
        for rows in (plan.temperature, rebuilt.temperature)
    )
    if ours != theirs:
        yield _differ("The plan", "temperature", ours, theirs)


def _differ(where: str, name: str, one: object, other: object) -> str:
    words = name.replace("_", " ")
    return (
        f"{where}: {words} is {_told(one)} in the plan and {_told(other)} in the data."
    )


def _told(value: object) -> str:
    if isinstance(value, tuple):
        return ", ".join(map(_told, value)) or "nothing"
    return "nothing" if value is None else str(value)


def _keyed(rows: Iterable[Any], key: Callable[[Any], _Key]) -> dict[_Key, Any]:
    """Rows by what tells them apart; equal ones are numbered."""
    counts: dict[_Key, int] = defaultdict(int)
    out: dict[_Key, Any] = {}
    for row in rows:
        own = key(row)
        counts[own] += 1
        out[*own, counts[own]] = row
    return out


class _Rows:
    """Compares one list of the problem, row by row and field by field."""

    def __init__(
        self, plan: Problem, rebuilt: Problem, title: str, key: Callable[[Any], _Key]
    ) -> None:
        self.plan, self.rebuilt, self.title, self.key = plan, rebuilt, title, key
        self.shift = _shift(plan, rebuilt)
        # Beyond the shorter of the two axes there is nothing to compare.
        self.common = (
            max(0, self.shift),
            min(plan.axis.ticks, rebuilt.axis.ticks + self.shift),
        )

    def differences(self, name: str) -> Iterator[str]:
        """Yield what is in one of the lists only, or not the same in both."""
        ours = _keyed(self._reached(getattr(self.plan, name), 0), self.key)
        rows = self._reached(getattr(self.rebuilt, name), self.shift)
        theirs = _keyed(rows, self.key)
        for key, row in ours.items():
            if key not in theirs:
                yield f"{self._name(row)} is in the plan, but not in the data."
        for key, row in theirs.items():
            if key not in ours:
                yield f"{self._name(row)} is in the data, but not in the plan."
            else:
                yield from self.fields(ours[key], row)

    def _reached(self, rows: Iterable[Any], shift: int) -> list[Any]:
        """Rows but for windows that one of the axes does not reach."""
        last = self.common[1] - shift
        return [one for one in rows if getattr(one, "window", (0, 0))[1] <= last]

    def fields(self, one: Any, other: Any) -> Iterator[str]:
        """Yield fields of a row that are not the same."""
        for entry in fields(one):
            mine, theirs = getattr(one, entry.name), getattr(other, entry.name)
            if entry.name == "standing":  # follows from an earlier plan
                continue
            if entry.name == "window":
                yield from self.instants(one, "from", mine[0], theirs[0])
                yield from self.instants(one, "to", mine[1], theirs[1])
                continue
            if mine == theirs and not (self.shift and entry.name in _SPANS | _INSTANTS):
                continue
            if entry.name in _SPANS:
                yield from self._spans(one, entry.name, mine, theirs)
            elif entry.name in _INSTANTS:
                yield from self.instants(one, entry.name, mine, theirs)
            elif not self._same(entry.name, mine, theirs):
                yield _differ(self._name(one), entry.name, mine, theirs)

    def _same(self, name: str, one: Any, other: Any) -> bool:
        if name == "id" and self.title == "Wait":
            return True  # known by its ends; the id is only a name
        if name in _UNORDERED:
            return sorted(one) == sorted(other)
        if isinstance(one, float) and isinstance(other, (int, float)):
            return abs(one - other) <= _HOURS
        return bool(one == other)

    def instants(
        self, row: Any, name: str, one: int | None, other: int | None
    ) -> Iterator[str]:
        """Yield two instants, each on the axis of its problem, if not the same."""
        if other is not None:
            other += self.shift
        if one != other:
            axis = self.plan.axis
            told = [None if at is None else axis.iso(at) for at in (one, other)]
            yield _differ(self._name(row), name, *told)

    def _spans(
        self, row: Any, name: str, one: tuple[Span, ...], other: tuple[Span, ...]
    ) -> Iterator[str]:
        moved = [(start + self.shift, end + self.shift) for start, end in other]
        ours, theirs = self._clipped(one), self._clipped(moved)
        for only, place in ((ours - theirs, "plan"), (theirs - ours, "data")):
            if only:
                start, end = min(only)
                axis, more = self.plan.axis, len(only) - 1
                rest = f" and {more} more spans" if more else ""
                yield (
                    f"{self._name(row)} is {name} from {axis.iso(start)} to "
                    f"{axis.iso(end)}{rest} only in the {place}."
                )

    def _clipped(self, spans: Iterable[Span]) -> set[Span]:
        first, last = self.common
        cut = ((max(start, first), min(end, last)) for start, end in spans)
        return {(start, end) for start, end in cut if start < end}

    def _name(self, row: Any) -> str:
        if self.title == "Wait":
            ends = f"{row.before_of} of {row.before} to {row.after_of} of {row.after}"
            return f"Wait ({row.kind}) from {ends}"
        return " ".join((self.title, *map(str, self.key(row))))


def _given(plan: Problem, rebuilt: Problem) -> Iterator[str]:
    """Yield facts and pins that are not the same; an earlier plan may add to them."""
    rows = _Rows(plan, rebuilt, "What is given on", lambda row: (row.operation,))
    ours = {one.operation: one for one in plan.committed}
    theirs = {one.operation: one for one in rebuilt.committed if one.why != "frozen"}
    for name, one in ours.items():
        if one.why != "frozen" and name not in theirs:
            yield f"{name} is {one.why} in the plan, but not in the data."
    for name, other in theirs.items():
        mine = ours.get(name)
        if mine is None:
            yield f"{name} is {other.why} in the data, but not in the plan."
        elif mine.why == other.why != "started":
            yield from rows.fields(mine, other)
        elif mine.why == other.why or (mine.why, other.why) == ("frozen", "locked"):
            yield from _bound(rows, mine, other)
        else:
            yield _differ(name, "state", mine.why, other.why)


def _bound(rows: _Rows, mine: Committed, other: Committed) -> Iterator[str]:
    """Yield what the data say and the plan does not; an earlier plan may say more."""
    if other.start is not None:
        yield from rows.instants(mine, "start", mine.start, other.start)
    for kind in ("mold", "place"):
        theirs = getattr(other, kind)
        if theirs is not None and getattr(mine, kind) != theirs:
            yield _differ(other.operation, kind, getattr(mine, kind), theirs)
    if not set(other.people) <= set(mine.people):
        yield _differ(other.operation, "people", mine.people, other.people)
