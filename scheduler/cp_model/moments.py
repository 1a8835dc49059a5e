"""Starts and ends of operations as whole numbers of the model, on any axis.

An operation's start is an index on its own axis. Where most days of work are alike, it
is also split into day and place in the day; functions of it (the wall clock, the index
on another axis) then fall into one of the day and one of the place in the day, with a
step only at weekends, holidays and breaks. An odd day, as a Saturday worked, is counted
back from the day after it. Where days differ, there is a step at every pause. All are
exact.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from scheduler.cp_model.days import find_days
from scheduler.cp_model.draft import (
    Quantity,
    Steps,
    constant,
    count_steps,
    usual_rise,
)

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from scheduler.cp_model.axes import TickAxis
    from scheduler.cp_model.days import Days
    from scheduler.cp_model.draft import Draft, Literal

    Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Split:
    """An index as the first of a day, plus the place in it, less what it is early."""

    days: Days
    day: Quantity
    place: Quantity
    early: Quantity
    is_early: Literal


class _Parts(NamedTuple):
    """A function by day and by place in it, and how far it goes back before a day."""

    days: Ints
    places: Ints
    slope: int  # by each tick that a moment is early
    drop: int  # for its being early
    table: Ints  # what all this comes to, by index


class Moment:
    """The start of a tick of an axis, or its end.

    `allowed` lists the indices that it can have, if they are not a range. The end of
    a one-go operation lies in the same day as its start.
    """

    def __init__(
        self,
        draft: Draft,
        axis: TickAxis,
        at: Quantity,
        *,
        at_end: bool = False,
        allowed: Ints | None = None,
        same_day: Moment | None = None,
    ) -> None:
        self.draft = draft
        self.allowed = allowed
        self.axis = axis
        self.at = at
        self.at_end = at_end
        self.same_day = same_day
        self._of: dict[int, Quantity] = {}
        self._split: Split | bool | None = False

    @property
    def low(self) -> int:
        """Earliest reference tick."""
        return int(self.axis.ticks[self.at.low]) + self.at_end

    @property
    def high(self) -> int:
        """Latest reference tick."""
        return int(self.axis.ticks[self.at.high]) + self.at_end

    def on(self, axis: TickAxis) -> Quantity:
        """How many ticks of an axis lie before the instant."""
        if axis is self.axis:
            return self.at.plus(int(self.at_end))
        return self.of(axis.before)

    def of(self, function: Ints) -> Quantity:
        """A rising function of the instant, given for every reference tick."""
        if id(function) not in self._of:
            self._of[id(function)] = self._map(function)
        return self._of[id(function)]

    def _map(self, function: Ints) -> Quantity:
        table = self._table(function, self.at.low, self.at.high)
        low, high = int(table[0]), int(table[-1])
        if low == high:
            return constant(low)
        if (np.diff(table) == 1).all():
            return self.at.plus(low - self.at.low)
        return self.draft.total(self._parts(function, table), low, high)

    def _parts(self, function: Ints, table: Ints) -> list[Steps]:
        """The function as steps of the day and of the place in it, or of the index.

        One that differs from the wall clock by few steps, as the end of a cure that
        the season lengthens, is the wall clock and those.
        """
        split = self.split()
        if split is not None:
            for like in (function, np.arange(len(function))):
                parts = self._fall_apart(like, split)
                if parts is None:
                    continue
                rest = table - parts.table
                if not rest.any():
                    return self._of_split(split, parts)
                if count_steps(rest) < count_steps(table):
                    own = self.draft.steps(self.at, rest)
                    return [*self._of_split(split, parts), own]
        return [self.draft.steps(self.at, table)]

    def _of_split(self, split: Split, parts: _Parts) -> list[Steps]:
        slope, drop = -parts.slope, -parts.drop
        early = split.early
        value = back = None
        if early.value is not None:
            value, back = slope * early.value, drop * (early.value > 0)
        return [
            self.draft.steps(split.day, parts.days),
            self.draft.steps(split.place, parts.places),
            Steps(slope, early, [], 0, value),
            Steps(0, early, [(drop, split.is_early)] if drop else [], 0, back),
        ]

    def _table(self, function: Ints, low: int, high: int) -> Ints:
        return self._at(function, np.arange(low, high + 1))

    def _at(self, function: Ints, index: Ints) -> Ints:
        found: Ints = function[self.axis.ticks[index] + int(self.at_end)]
        return found

    def _fall_apart(self, function: Ints, split: Split) -> _Parts | None:
        """The function as one of the day and one of the place in it, if it is so."""
        first, last = split.place.low, split.place.high
        places = np.arange(first, last + 1)
        whole = self._at(function, split.days.firsts[:, None] + places[None, :])
        days, places = whole[:, 0], whole[0] - whole[0, 0]
        if (whole != days[:, None] + places[None, :]).any():
            return None
        table = self._table(function, self.at.low, self.at.high)
        slope = drop = 0
        if split.is_early is not False:
            slope, drop, table = self._back(split, days, table)
        return _Parts(days, places, slope, drop, table)

    def _back(self, split: Split, days: Ints, table: Ints) -> tuple[int, int, Ints]:
        """How far the function goes back before a day: by the tick, and at once.

        Then its table, if it went back just so before every day.
        """
        after = min(self.at.high + 1, split.days.end)
        spot = split.days.spot(np.arange(self.at.low, after))
        odd = np.flatnonzero(spot.early)
        if len(odd) == 0:
            return 0, 0, table
        early, first = spot.early[odd], days[spot.day[odd]]
        back = first - table[odd]
        side_by_side = np.diff(odd) == 1
        slope = usual_rise(-np.diff(back)[side_by_side]) if side_by_side.any() else 0
        drop = usual_rise(back - slope * early)
        table = table.copy()
        table[odd] = first - slope * early - drop
        return slope, drop, table

    def split(self) -> Split | None:
        """Split the index into day and place in the day, if most days are alike."""
        if self._split is False:
            self._split = self._make_split()
        return self._split  # type: ignore[return-value]

    def _make_split(self) -> Split | None:
        at = self.at
        if self.same_day is not None:
            return self._split_as(self.same_day)
        days = None if at.var is None else find_days(self.axis, at.low, at.high)
        if days is None:
            return None
        value = None if at.value is None else days.spot(at.value)
        there = None if value is None else int(value.day)
        day = self.draft.whole(0, len(days.firsts) - 1, there)
        is_early: Literal = False
        if days.spot(self._allowed()).early.any():
            is_early = self.draft.choice(None if value is None else bool(value.early))
        return self._in_days(days, day, is_early)

    def _allowed(self) -> Ints:
        if self.allowed is not None:
            return self.allowed
        return np.arange(self.at.low, self.at.high + 1)

    def _split_as(self, other: Moment) -> Split | None:
        """Split with the day of another moment."""
        given = other.split()
        if given is None:
            return None
        if self.at.var is other.at.var and given.is_early is False:
            place = given.place.plus(self.at.offset - other.at.offset)
            return replace(given, place=place)
        return self._in_days(given.days, given.day, given.is_early)

    def _in_days(self, days: Days, day: Quantity, is_early: Literal) -> Split:
        """Make the place in the day, given the day, and how early it is."""
        at, draft = self.at, self.draft
        allowed = self._allowed()
        spots = days.spot(allowed[allowed < days.end])
        value = None if at.value is None else days.spot(min(at.value, days.end - 1))
        places = spots.place
        if is_early is not False:
            places = np.append(places, 0)
        places = np.unique(places)
        at_place = None if value is None else int(value.place)
        first, last = int(places[0]), int(places[-1])
        place = draft.whole(first, last, at_place, places.tolist())
        early = constant(0)
        if is_early is not False:
            most = max(1, int(spots.early.max()))
            early = draft.whole(0, most, None if value is None else int(value.early))
            draft.model.add(early.expr <= most * is_early)
            draft.model.add(early.expr >= is_early)
            draft.model.add(early.expr <= draft.steps(day, days.odd).expr)
            draft.model.add(place.expr <= last * (1 - is_early))
        first_of = draft.steps(day, days.firsts)
        draft.model.add(at.expr == first_of.expr + place.expr - early.expr)
        return Split(days, day, place, early, is_early)
