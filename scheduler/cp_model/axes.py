"""Axes of ticks for the constraint model, and instants as indices on them.

An axis lists reference ticks in order: the open ticks of a calendar, those that some
calendars share, or all. `before[t]` counts its ticks before a reference tick t. With
it instants are compared where every night and weekend has no length: for an operation
that works on an axis, "a ends at or before b starts" is the same on the wall clock and
on the axis.
"""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from scheduler.compiling.arrays import Arrays

    Ints = NDArray[np.int64]

HOURS_OF_A_NIGHT = 2
"""A pause of this length or more parts one day of work from the next."""


class TickAxis:
    """Reference ticks in order, with the look-up back."""

    def __init__(self, ticks: Ints, axis_ticks: int, ticks_per_day: int) -> None:
        self.ticks = ticks
        marks = np.zeros(axis_ticks + 2, np.int64)
        marks[ticks + 1] = 1
        self.before: Ints = np.cumsum(marks)
        night = max(1, HOURS_OF_A_NIGHT * ticks_per_day // 24)
        cuts = np.flatnonzero(np.diff(ticks) > night) + 1
        self.day_at: Ints = np.concatenate([[0], cuts, [len(ticks)]])

    def __len__(self) -> int:
        return len(self.ticks)

    @cached_property
    def run_end(self) -> Ints:
        """For each index, the one after its unbroken run."""
        ends = np.append(np.flatnonzero(np.diff(self.ticks) != 1) + 1, len(self.ticks))
        found: Ints = ends[np.searchsorted(ends, np.arange(len(self.ticks)), "right")]
        return found

    def holds(self, other: TickAxis) -> bool:
        """Whether every tick of another axis is on this one."""
        return bool((self.before[other.ticks + 1] > self.before[other.ticks]).all())

    def day_of(self, index: int) -> int:
        """The day in which the tick of an index lies."""
        return int(np.searchsorted(self.day_at, index, side="right")) - 1


class AxisBook:
    """Every axis that a problem needs, equal ones only once."""

    def __init__(self, a: Arrays) -> None:
        self._a = a
        self._known: dict[bytes, TickAxis] = {}
        self._meets: dict[frozenset[int], TickAxis] = {}
        self._unions: dict[frozenset[int], TickAxis] = {}
        self.all = self.of_ticks(np.arange(a.ticks, dtype=np.int64))
        self.tracks = [
            self.of_ticks(a.ref_of[a.open_position[start:end]].astype(np.int64))
            for start, end in zip(a.track_at[:-1], a.track_at[1:], strict=True)
        ]

    def of_ticks(self, ticks: Ints) -> TickAxis:
        """The axis of some ticks, made at first use."""
        key = ticks.tobytes()
        if key not in self._known:
            self._known[key] = TickAxis(ticks, self._a.ticks, self._a.ticks_per_day)
        return self._known[key]

    def meet(self, axes: set[TickAxis]) -> TickAxis:
        """The ticks that all of some axes have."""
        key = frozenset(id(one) for one in axes)
        if key not in self._meets:
            first, *others = axes
            ticks = first.ticks
            for other in others:
                ticks = np.intersect1d(ticks, other.ticks, assume_unique=True)
            self._meets[key] = self.of_ticks(ticks)
        return self._meets[key]

    def union(self, axes: set[TickAxis]) -> TickAxis:
        """The ticks that any of some axes has."""
        key = frozenset(id(one) for one in axes)
        if key not in self._unions:
            ticks = np.unique(np.concatenate([one.ticks for one in axes]))
            self._unions[key] = self.of_ticks(ticks)
        return self._unions[key]
