"""Random problems with less time than they would like, down to none that suffices."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from models.spans import Span, clip
from scheduler.compiling.compile import compile_problem
from scheduler.problem import Problem
from tests.scheduler.random_facts import random_plan
from tests.scheduler.random_problems import random_problem

SIZES = ((1, 3), (2, 2), (1, 6), (2, 3), (3, 2))  # boats, operations of each


def is_plain(seed: int) -> bool:
    """Whether the problem of a seed can be tried out."""
    return seed % 4 < 2


def strained_problem(seed: int) -> Problem:
    """A small book whose axis ends about when a decoded plan does, or well before.

    Every other one is plain: nothing in it that trying everything does not know.
    """
    random = Random(seed)
    boats, operations = SIZES[seed % len(SIZES)]
    problem = random_problem(
        seed,
        boats,
        operations,
        tick_minutes=120 if is_plain(seed) else 60,
        calendars=("same", "one", "mixed")[seed % 3],
        plain=is_plain(seed),
    )
    plan = random_plan(compile_problem(problem), random)
    if plan is None:
        return problem
    last = int(plan.finish.max())
    ticks = int(last * random.choice((0.7, 0.9, 1.0, 1.1, 1.2)))
    return until(problem, max(ticks, 2 * problem.axis.ticks_per_day))


def until(problem: Problem, ticks: int) -> Problem:
    """The problem with calendars that end sooner, and the axis a tick after them."""

    def cut(spans: tuple[Span, ...]) -> tuple[Span, ...]:
        return clip(spans, 0, ticks)

    return replace(
        problem,
        axis=replace(problem.axis, ticks=ticks + 1),
        buffer_days=0,
        calendars=tuple(
            replace(one, open=cut(one.open), breaks=cut(one.breaks))
            for one in problem.calendars
        ),
        people=tuple(
            replace(one, available=cut(one.available)) for one in problem.people
        ),
        molds=tuple(
            replace(one, unavailable=cut(one.unavailable)) for one in problem.molds
        ),
        places=tuple(
            replace(one, unavailable=cut(one.unavailable)) for one in problem.places
        ),
    )
