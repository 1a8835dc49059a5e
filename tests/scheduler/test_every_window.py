"""The problem that is wider than that of every set of windows."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest

from models.spans import Span, clip, subtract
from scheduler.every_window import AGAIN, stays_in_stretches, with_every_window
from scheduler.problem import OvertimeWindow, Problem, Wait
from tests.scheduler.test_overtime_choice import hurried


def wider_wait(problem: Problem, **told: str) -> Wait:
    """A wait of an hour to two between pausable steps, as the wider problem has it."""
    first, last = problem.operations[0].id, problem.operations[1].id
    pausable = tuple(replace(one, one_go=False) for one in problem.operations)
    wait = Wait("w", "bond", first, last, "end", "start", 60, None, 120, "wall")
    asked = replace(problem, operations=pausable, waits=(replace(wait, **told),))
    return with_every_window(asked).waits[0]


def test_what_an_earlier_end_could_break_is_left_out() -> None:
    """Maxima from an end that may come sooner, and minima up to one; no others."""
    problem = next(
        one
        for seed in range(50)
        for one in [hurried(seed)]
        if {each.calendar for each in one.operations[:2]}
        <= {window.calendar for window in one.overtime}
        and all(each.skill for each in one.operations[:2])
    )
    from_end = wider_wait(problem)
    assert (from_end.min_minutes, from_end.max_minutes) == (60, None)
    from_start = wider_wait(problem, before_of="start")
    assert (from_start.min_minutes, from_start.max_minutes) == (60, 120)
    to_end = wider_wait(problem, before_of="start", after_of="end")
    assert (to_end.min_minutes, to_end.max_minutes) == (0, 120)


def offered(problem: Problem, *spans: Span, **told: Any) -> Problem:
    """The problem with windows of its first calendar, and no others."""
    name = problem.calendars[0].id
    windows = tuple(
        OvertimeWindow(f"w{number}", name, span, 10.0, ())
        for number, span in enumerate(spans)
    )
    return replace(problem, overtime=windows, **told)


def night(problem: Problem) -> Span:
    """From the end of a day of the first calendar to the beginning of the next."""
    spans = pairwise(problem.calendars[0].open)
    gaps = ((end, start) for (_, end), (start, _) in spans)
    return next((end, start) for end, start in gaps if start - end > 12)


def test_everybody_who_could_go_on_is_there_once() -> None:
    """In the windows of a calendar on which their skills are needed, and as before."""
    problem = hurried(1)
    end, _ = night(problem)
    asked = offered(problem, (end, end + 4))
    wider = with_every_window(asked)
    name = problem.calendars[0].id
    needed = {one.skill for one in problem.operations if one.calendar == name}
    assert needed
    for before, after in zip(problem.people, wider.people, strict=True):
        assert after.id == before.id
        assert not subtract(before.available, after.available)
        own = clip(after.available, end, end + 4) == ((end, end + 4),)
        was = clip(before.available, end, end + 4) == ((end, end + 4),)
        assert own == (was or bool(needed & set(before.counts_for)))


def test_who_is_there_anyway_is_there_twice() -> None:
    """Their regular work and what goes on in the window may be in two crews."""
    problem = hurried(1)
    last, _ = night(problem)
    someone = problem.people[0]
    late = replace(someone, available=((last, last + 2),))
    people = (late, *problem.people[1:])
    operations = tuple(
        replace(one, skill=someone.skills[0], calendar=problem.calendars[0].id)
        for one in problem.operations[:1]
    )
    asked = offered(problem, (last, last + 4), people=people, operations=operations)
    there = {one.id: one.available for one in with_every_window(asked).people}
    assert there[someone.id] == ((last, last + 4),)
    assert there[f"{AGAIN}1/{someone.id}"] == ((last, last + 2),)


@pytest.mark.parametrize(
    ("before", "after", "stays"),
    [
        ((0, 4), None, True),  # after the shift
        (None, (-4, 0), True),  # before the next one
        ((0, 4), (-4, 0), True),
        ((1, 4), None, True),  # on its own
        ((0, 4), (None, 0), False),  # from the one to the next, in two windows
        ((0, None), None, False),  # and in one
    ],
)
def test_stretches_that_one_crew_can_stay_for(
    before: tuple[int, int | None] | None,
    after: tuple[int | None, int] | None,
    stays: bool,
) -> None:
    """Where a window makes no stretch of two, and none touches another."""
    problem = hurried(1)
    end, start = night(problem)
    spans: list[Span] = []
    if before:
        until = start if before[1] is None else end + before[1]
        spans.append((end + before[0], until))
    if after:
        spans.append((end + 4 if after[0] is None else start + after[0], start))
    assert stays_in_stretches(offered(problem, *spans)) is stays
