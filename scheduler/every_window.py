"""A problem that is wider than that of every set of windows of overtime.

All windows are open. Take a plan with some of them shut and keep each start. Work that
paused over a shut window goes on in it, and ends sooner; work in one go is as it was.
In regular time no more hands are asked for, since only the last of the work is gone.
Every rule that counts from an end to a later start, as molds, places, stations and
minimum waits do, then has more room; what has less is left out: maxima from an end that
may come sooner, and minima up to one.

Who does the work in a window that was shut? All work of one calendar that is in hand
over it was worked at the last open tick before, and is at the first one after, each by
a crew of its own; one of these crews goes on. So everybody is there in all windows of
the calendars of their skills; where windows of several calendars coincide, or one with
somebody's regular time, once more for each, as crews of two calendars may share people.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from typing import TYPE_CHECKING

from models.spans import merge
from scheduler.overtime import may_open, stands_open, with_opened

if TYPE_CHECKING:
    from collections.abc import Iterable

    from scheduler.problem import Person, Problem, Span, Wait

AGAIN = "again/"  # no id in a file of the yard holds a stroke


def with_every_window(problem: Problem) -> Problem:
    """The wider problem: its bound on level 1 holds for every set of windows."""
    windows = may_open(problem)
    calendars = {one.calendar for one in windows}
    standing = stands_open(problem)
    crewed = {
        one.id: one
        for one in problem.operations
        if one.skill is not None and one.calendar in calendars
    }
    pausable = {name for name, one in crewed.items() if not one.one_go}
    spans: dict[str, list[Span]] = defaultdict(list)
    for window in windows:
        spans[window.calendar].append(window.window)
    needing: dict[str, set[str]] = defaultdict(set)
    for one in crewed.values():
        needing[one.calendar].add(one.skill or "")
    wider = with_opened(problem, standing | {one.id for one in windows})
    return replace(
        wider,
        people=tuple(
            there
            for person in with_opened(problem, standing).people
            for there in _in_windows(person, spans, needing)
        ),
        waits=tuple(_wider(one, pausable) for one in wider.waits),
        overtime=(),
    )


def _in_windows(
    person: Person, spans: dict[str, list[Span]], needing: dict[str, set[str]]
) -> list[Person]:
    """A person in all windows of their calendars, as often as they coincide."""
    own = [
        merge(windows)
        for calendar, windows in sorted(spans.items())
        if needing[calendar] & set(person.counts_for)
    ]
    first, *more = _layers([person.available, *own])
    again = [
        replace(person, id=f"{AGAIN}{number}/{person.id}", available=there)
        for number, there in enumerate(more, 1)
    ]
    return [replace(person, available=first), *again]


def _layers(lists: Iterable[tuple[Span, ...]]) -> list[tuple[Span, ...]]:
    """Where at least one of some lists of merged spans is, where at least two are..."""
    edges: dict[int, int] = defaultdict(int)
    for spans in lists:
        for start, end in spans:
            edges[start] += 1
            edges[end] -= 1
    layers: list[list[Span]] = [[]]
    count = 0
    begun: list[int] = []
    for tick in sorted(edges):
        count += edges[tick]
        while len(begun) < count:
            begun.append(tick)
        while len(begun) > count:
            while len(layers) < len(begun):
                layers.append([])
            layers[len(begun) - 1].append((begun.pop(), tick))
    return [merge(one) for one in layers]


def stays_in_stretches(problem: Problem) -> bool:
    """Whether in the wider problem, too, one crew can stay for each stretch of work.

    Where a window makes one stretch of two, other crews may have worked in them; nor is
    it sure where two windows touch. A window at the beginning or at the end of a
    stretch is worked by its crew.
    """
    standing = stands_open(problem)
    for calendar in problem.calendars:
        own = [one for one in problem.overtime if one.calendar == calendar.id]
        offered = [one.window for one in own if one.standing is None]
        opened = [one.window for one in own if one.id in standing]
        regular = merge((*calendar.open, *opened))
        starts, ends = {start for start, _ in regular}, {end for _, end in regular}
        if len(merge(offered)) < len(offered):
            return False
        if any(first in ends and last in starts for first, last in offered):
            return False
    return True


def _wider(wait: Wait, pausable: set[str]) -> Wait:
    """A wait without what counts to, or at most from, an end that may come sooner."""
    if wait.before_of == "end" and wait.before in pausable:
        wait = replace(wait, max_minutes=None)
    if wait.after_of == "end" and wait.after in pausable:
        wait = replace(wait, min_minutes=0, activation_kj_per_mol=None)
    return wait
