"""Stretches of an axis as days of equal length, with what lies between them.

Most days of work are alike. One that is not, as a Saturday worked or a short Friday, is
no day of its own: its ticks are counted back from the first of the day after it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from scheduler.cp_model.axes import TickAxis

    Ints = NDArray[np.int64]


class Spot(NamedTuple):
    """Where an index lies; all three are arrays where the index is one."""

    day: Ints
    place: Ints  # in the day
    early: Ints  # ticks before the first of the day; 0 in it


@dataclass(frozen=True)
class Days:
    """Days of one length on an axis."""

    firsts: Ints  # index of the first tick of each
    length: int
    odd: Ints  # ticks of another day just before each

    @property
    def end(self) -> int:
        """The index after the last day."""
        return int(self.firsts[-1]) + self.length

    def spot(self, index: int | Ints) -> Spot:
        """The day, the place in it, and how early it is."""
        day = np.searchsorted(self.firsts + self.length, index, side="right")
        place = index - self.firsts[day]
        return Spot(day, np.maximum(place, 0), np.maximum(-place, 0))

    def day_of(self, index: int) -> int:
        """The day to which an index belongs; how many there are if it is after all."""
        return int(np.searchsorted(self.firsts + self.length, index, side="right"))

    def opening(self, place: int, *, early: bool) -> Ints:
        """Earliest index of each day, from a place on or with what is before it."""
        return self.firsts - self.odd if early else self.firsts + place

    def are_runs(self, axis: TickAxis, *, early: bool) -> bool:
        """Whether no day is broken, nor what is before it."""
        whole = axis.run_end[self.firsts] == self.firsts + self.length
        if early:
            whole &= axis.run_end[self.firsts - self.odd] >= self.firsts
        return bool(whole.all())


def find_days(axis: TickAxis, low: int, high: int) -> Days | None:
    """The days from one index of an axis to another; None where few are alike."""
    first, last = axis.day_of(low), axis.day_of(high)
    starts = axis.day_at[first : last + 3]  # and one more: the last may be odd
    lengths = np.diff(starts)
    length = int(np.bincount(lengths[: last - first + 1]).argmax())
    usual = lengths == length
    if usual[last - first]:
        usual = usual[: last - first + 1]
    odd = np.flatnonzero(~usual)
    alone = usual[-1] and (np.diff(odd) > 1).all()
    if first == last or length == 1 or not alone or len(odd) >= len(usual) / 2:
        return None
    days = np.flatnonzero(usual)
    before = np.where(days > 0, ~usual[days - 1], False)
    return Days(
        firsts=starts[days],
        length=length,
        odd=np.where(before, lengths[days - 1], 0),
    )
