"""Who could form a crew, when, and for how long without a change."""

from __future__ import annotations

from collections import Counter
from functools import cached_property
from itertools import groupby

from models.axis import Axis
from models.calendars import expand, own_hours
from models.spans import Span, merge, subtract
from models.yard import PartTime, Person, TradeCalendar, Yard

UNLIMITED = 10**9  # ticks


class Crews:
    """Longest stretches on each trade's calendar that a crew could work through.

    Holidays count, leave and outages do not: what is asked is whether a crew could
    ever be formed. A one-go step needs the same people throughout; a pausable one may
    change them at a pause, which is taken as: at any tick. Looked up once for each
    skill, calendar and size.
    """

    def __init__(self, yard: Yard, axis: Axis) -> None:
        self.yard = yard
        self.axis = axis
        self._longest: dict[tuple[str, str, int, int, bool], int] = {}

    @cached_property
    def calendars(self) -> dict[str, TradeCalendar]:
        """Trade calendars by id."""
        return {calendar.id: calendar for calendar in self.yard.calendars}

    def count(self, skill: str) -> int:
        """How many people have a skill, apprentices included."""
        return self._counts[skill]

    def count_full(self, skill: str) -> int:
        """How many people have a skill in full."""
        return self._counts_full[skill]

    @cached_property
    def _counts(self) -> Counter[str]:
        people = self.yard.people
        return Counter(skill for one in people for skill in set(one.counts_for))

    @cached_property
    def _counts_full(self) -> Counter[str]:
        return Counter(skill for one in self.yard.people for skill in set(one.skills))

    def runs(self, calendar_id: str, one_go: bool) -> tuple[Span, ...]:
        """Stretches of work: to the next stop, or break if it is not relieved."""
        calendar = self.calendars[calendar_id]
        opened, breaks = expand(calendar, self.axis)
        if one_go and calendar.breaks_relieved:
            return merge((*opened, *breaks))
        return opened

    def longest(
        self, skill: str, calendar_id: str, size: int, one_go: bool, leads: int = 0
    ) -> int:
        """Ticks of the longest stretch through which so many people are there.

        At least `leads` of them have the skill in full.
        """
        key = (skill, calendar_id, size, leads, one_go)
        if key not in self._longest:
            self._longest[key] = self._find_longest(*key)
        return self._longest[key]

    def _find_longest(
        self, skill: str, calendar_id: str, size: int, leads: int, one_go: bool
    ) -> int:
        runs = self.runs(calendar_id, one_go)
        if not one_go:
            return self._find_longest_with_pauses(skill, size, leads, runs)
        stretches = self._stretches(skill, calendar_id, runs)
        best = 0
        for start in {first for _, person in stretches for first, _ in person}:
            ends = sorted(
                (
                    (last, full)
                    for full, person in stretches
                    for first, last in person
                    if first <= start < last
                ),
                reverse=True,
            )
            leading = [last for last, full in ends if full]
            if len(ends) >= size and len(leading) >= leads:
                end = ends[size - 1][0]
                best = max(
                    best, (min(end, leading[leads - 1]) if leads else end) - start
                )
        return best

    def _find_longest_with_pauses(
        self, skill: str, size: int, leads: int, runs: tuple[Span, ...]
    ) -> int:
        """Ticks of work in a row, pauses skipped; no limit where none breaks it."""
        present, leading = [0] * self.axis.ticks, [0] * self.axis.ticks
        alike: dict[tuple[str, PartTime | None, bool], list[Person]] = {}
        for person in self.yard.people:
            if skill in person.counts_for and person.calendar in self.calendars:
                key = person.calendar, person.part_time, skill in person.skills
                alike.setdefault(key, []).append(person)
        for (_, _, full), people in alike.items():
            for start, end in self._hours(people[0]):
                for tick in range(start, end):
                    present[tick] += len(people)
                    leading[tick] += len(people) if full else 0
        enough = [
            present[tick] >= size and leading[tick] >= leads
            for start, end in runs
            for tick in range(start, end)
        ]
        if all(enough):
            return UNLIMITED if enough else 0
        rows = (len(list(row)) for there, row in groupby(enough) if there)
        return max(rows, default=0)

    def _stretches(
        self, skill: str, calendar_id: str, runs: tuple[Span, ...]
    ) -> list[tuple[bool, tuple[Span, ...]]]:
        """Give when each person who counts for the skill is there, inside the runs.

        With whether they have it in full.
        """
        relieved = subtract(runs, expand(self.calendars[calendar_id], self.axis)[0])
        away_from_runs = subtract(((0, self.axis.ticks),), runs)
        at_work: dict[tuple[str, PartTime | None], tuple[Span, ...]] = {}
        stretches = []
        for person in self.yard.people:
            if skill not in person.counts_for or person.calendar not in self.calendars:
                continue
            key = person.calendar, person.part_time
            if key not in at_work:
                there = merge((*self._hours(person), *relieved))
                there = subtract(there, away_from_runs)
                at_work[key] = tuple(one for one in there if subtract((one,), relieved))
            stretches.append((skill in person.skills, at_work[key]))
        return stretches

    def _hours(self, person: Person) -> tuple[Span, ...]:
        """Open time of a person's hours, leave not taken out."""
        calendar = self.calendars[person.calendar]
        return expand(own_hours(person, calendar), self.axis)[0]
