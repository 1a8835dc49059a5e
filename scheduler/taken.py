"""Who has a resource of a plan, and which people are there, looked up by time."""

from __future__ import annotations

from bisect import bisect_left
from itertools import pairwise
from operator import itemgetter
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from numpy.typing import NDArray

    from models.spans import Span
    from scheduler.problem import Person

    Bools = NDArray[np.bool_]
    Ints = NDArray[np.int64]


class Use(NamedTuple):
    """So much of a resource, taken from one tick to another, and who has it."""

    start: int
    finish: int
    amount: int
    holder: str


class Uses:
    """The uses of one resource; those of any time are found without seeing all."""

    def __init__(self, uses: Iterable[Use]) -> None:
        rows = list(uses)
        self._order = sorted(range(len(rows)), key=lambda place: rows[place].start)
        self._rows = rows
        self._starts = [rows[place].start for place in self._order]
        self._longest = max((one.finish - one.start for one in rows), default=0)

    def during(self, span: Span) -> list[Use]:
        """Uses that share a tick with a span, in the order in which they were given."""
        first = bisect_left(self._starts, span[0] - self._longest)
        last = bisect_left(self._starts, span[1])
        inside = [k for k in self._order[first:last] if self._rows[k].finish > span[0]]
        return [self._rows[place] for place in sorted(inside)]


def peak(inside: Sequence[Use], span: Span) -> tuple[int, list[str]]:
    """The most that uses take at one tick of a span that all touch, and who has it."""
    rows = sorted(inside, key=itemgetter(0))
    if rows and all(one.finish <= other.start for one, other in pairwise(rows)):
        most = max(rows, key=itemgetter(2))
        return most.amount, [most.holder]
    best: tuple[int, list[str]] = (0, [])
    for at in sorted({max(span[0], one.start) for one in inside}):
        now = [one for one in inside if one.start <= at < one.finish]
        load = sum(one.amount for one in now)
        if load > best[0]:
            best = load, [one.holder for one in now]
    return best


class Hands:
    """The people who can do work of a skill: who is there, and who is taken.

    Parameters
    ----------
    people : sequence of Person
        In the order in which they are named.
    busy : mapping
        By person, spans of work with the operation or service.
    """

    def __init__(
        self,
        people: Sequence[Person],
        skill: str,
        busy: Mapping[str, Sequence[tuple[int, int, str]]],
    ) -> None:
        self.names = [one.id for one in people]
        leading = [skill in one.lead_for for one in people]
        # Those with the skill in full, where it has apprentices.
        self.leading = np.array(leading, np.bool_)
        numbers: dict[tuple[Span, ...], int] = {}
        groups = [numbers.setdefault(one.available, len(numbers)) for one in people]
        self._hours, self._group = list(numbers), np.array(groups, np.int64)
        rows = sorted(
            (start, finish, place, work)
            for place, one in enumerate(people)
            for start, finish, work in busy.get(one.id, ())
        )
        table = np.array([row[:3] for row in rows], np.int64).reshape(-1, 3)
        self._start, self._finish, self._person = table.T
        self._longest = int((self._finish - self._start).max(initial=0))
        self._works = [row[3] for row in rows]
        own: dict[str, list[int]] = {}
        for row, work in enumerate(self._works):
            own.setdefault(work, []).append(row)
        self._own = own
        self._known: dict[tuple[Span, ...], Bools] = {}

    def there(self, needed: tuple[Span, ...]) -> Bools:
        """Who is at work at every tick of some spans; not to be changed."""
        if needed not in self._known:
            hours = [_cover(one, needed) for one in self._hours]
            self._known[needed] = np.array(hours, np.bool_)[self._group]
        return self._known[needed]

    def taken(self, span: Span, apart_from: str) -> tuple[Ints, Ints]:
        """Who is on other work during a span, and the rows that tell which."""
        first = int(np.searchsorted(self._start, span[0] - self._longest))
        last = int(np.searchsorted(self._start, span[1]))
        inside = self._finish[first:last] > span[0]
        for row in self._own.get(apart_from, ()):
            if first <= row < last:
                inside[row - first] = False
        rows = first + np.flatnonzero(inside)
        return self._person[rows], rows

    def works(self, people: Bools, taken: tuple[Ints, Ints]) -> list[str]:
        """The work on which some people are taken, in order of people and of time."""
        persons, rows = taken
        rows = rows[people[persons]]
        order = np.argsort(self._person[rows], kind="stable")
        return [self._works[row] for row in rows[order]]


def _cover(hours: tuple[Span, ...], needed: tuple[Span, ...]) -> bool:
    """Whether hours of work hold every tick of some spans."""
    for start, end in needed:
        index = bisect_left(hours, (start + 1,)) - 1
        if index < 0 or hours[index][1] < end:
            return False
    return True
