"""Starts and ends of operations as whole numbers of the model, on any axis.

An operation's start is an index on its own axis. Where days of work are alike, it is
also split into day and place in the day; functions of it (the wall clock, the index
on another axis) then fall into one of the day and one of the place in the day, with a
step only at weekends, holidays and breaks. Where days differ, there is a step at every
pause. Both are exact.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from scheduler.cp_model.draft import Quantity, Steps, constant, count_steps

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from scheduler.cp_model.axes import TickAxis
    from scheduler.cp_model.draft import Draft

    Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Split:
    """An index as day x length + place in the day."""

    first_day: int
    length: int
    day: Quantity
    place: Quantity


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

    def day(self) -> Quantity | None:
        """The day of work, counted on the own axis; None where days differ."""
        split = self.split()
        return None if split is None else split.day

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
        if split is None:
            return [self.draft.steps(self.at, table)]
        parts = self._fall_apart(function, split)
        if parts is not None:
            return self._of_split(split, parts)
        clock = np.arange(len(function))
        parts = self._fall_apart(clock, split)
        rest = table - self._table(clock, self.at.low, self.at.high)
        if parts is None or count_steps(rest) >= count_steps(table):
            return [self.draft.steps(self.at, table)]
        return [*self._of_split(split, parts), self.draft.steps(self.at, rest)]

    def _of_split(self, split: Split, parts: tuple[Ints, Ints]) -> list[Steps]:
        days, places = parts
        return [
            self.draft.steps(split.day, days),
            self.draft.steps(split.place, places),
        ]

    def _table(self, function: Ints, low: int, high: int) -> Ints:
        found: Ints = function[self.axis.ticks[low : high + 1] + int(self.at_end)]
        return found

    def _fall_apart(self, function: Ints, split: Split) -> tuple[Ints, Ints] | None:
        """The function as one of the day and one of the place in it, if it is so."""
        start = int(self.axis.day_at[split.day.low])
        stop = int(self.axis.day_at[split.day.high + 1])
        whole = self._table(function, start, stop - 1).reshape(-1, split.length)
        whole = whole[:, split.place.low : split.place.high + 1]
        days = whole[:, 0]
        places = whole[0] - whole[0, 0]
        if (whole != days[:, None] + places[None, :]).any():
            return None
        return days, places

    def split(self) -> Split | None:
        """Split the index into day and place in the day, if all its days are alike."""
        if self._split is False:
            self._split = self._make_split()
        return self._split  # type: ignore[return-value]

    def _make_split(self) -> Split | None:
        axis, at, draft = self.axis, self.at, self.draft
        if self.same_day is not None:
            return self._split_as(self.same_day)
        first, last = axis.day_of(at.low), axis.day_of(at.high)
        lengths = np.diff(axis.day_at[first : last + 2])
        length = int(lengths[0])
        if at.var is None or first == last or (lengths != length).any() or length == 1:
            return None
        day_of = None
        if at.value is not None:
            day_of = first + (at.value - int(axis.day_at[first])) // length
        day = draft.whole(first, last, day_of)
        return Split(first, length, day, self._place(length, first, day))

    def _split_as(self, other: Moment) -> Split | None:
        """Split with the day of another moment."""
        given = other.split()
        if given is None:
            return None
        if self.at.var is other.at.var:
            place = given.place.plus(self.at.offset - other.at.offset)
        else:
            place = self._place(given.length, given.first_day, given.day)
        return Split(given.first_day, given.length, given.day, place)

    def _place(self, length: int, first: int, day: Quantity) -> Quantity:
        """Make the place in the day, given the day."""
        at, draft = self.at, self.draft
        base = int(self.axis.day_at[first])
        value = None if at.value is None else (at.value - base) % length
        places = np.arange(length)
        if self.allowed is not None:
            places = np.unique((self.allowed - base) % length)
        place = draft.whole(int(places[0]), int(places[-1]), value, places.tolist())
        draft.model.add(at.expr == base + (day.expr - first) * length + place.expr)
        return place
