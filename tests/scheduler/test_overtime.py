"""Overtime: sets of opened windows, what they come to, and bounds over all of them."""

from __future__ import annotations

from dataclasses import replace
from itertools import chain, combinations

import numpy as np
import pytest

from scheduler.bounds import (
    bound_with_overtime,
    earliest_finishes,
    earliest_state,
)
from scheduler.checker import check
from scheduler.compiling.compile import Compilation, compile_problem
from scheduler.cp_model.model import solve
from scheduler.overtime import WITH, hours_of, may_open, stands_open, with_opened
from scheduler.problem import OvertimeLimit, OvertimeWindow, Problem, Wait
from tests.scheduler.overtime_problems import with_windows
from tests.scheduler.planned import document, settled
from tests.scheduler.random_problems import random_problem
from tests.scheduler.small_plan import overtime_plan
from tests.scheduler.small_yard import AXIS, at, small_problem, spans


def every_set(problem: Problem) -> list[frozenset[str]]:
    """All sets of windows that can be open."""
    ids = [one.id for one in may_open(problem)]
    sizes = range(len(ids) + 1)
    sets = chain.from_iterable(combinations(ids, size) for size in sizes)
    return [frozenset(one) for one in sets]


def offering(*windows: OvertimeWindow, day: float = 4, week: float = 8) -> Problem:
    """The small problem with windows, and the same limits for everybody."""
    problem = small_problem()
    limits = tuple(OvertimeLimit(one.id, day, week) for one in problem.people)
    return replace(problem, overtime=windows, overtime_limits=limits)


def window(id: str, span: str, *people: str, **more: str) -> OvertimeWindow:
    """A window of lamination."""
    return OvertimeWindow(id, "lamination", spans(span)[0], 40.0, people, **more)


def test_nothing_opened_is_the_problem_itself() -> None:
    """With no window open, a problem is the very same."""
    problem = offering(window("a", "03-13 06:00 10:00", "LM-01"))
    assert with_opened(problem, ()) is problem
    assert compile_problem(problem).problem is problem


def test_an_opened_window_is_open_to_work_with_a_crew() -> None:
    """Crewed work and people of the window get its time; all else stays."""
    problem = offering(window("a", "03-13 06:00 10:00", "LM-01", "LM-03"))
    opened = with_opened(problem, {"a"})
    calendars = {one.id: one for one in opened.calendars}
    there = {one.id: one.available for one in opened.people}
    span = problem.overtime[0].window
    assert span in calendars["lamination" + WITH].open
    assert calendars["lamination"] == problem.calendars[0]
    assert span in there["LM-01"]
    assert span not in there["LM-02"]
    assert {one.calendar for one in opened.operations} == {"lamination" + WITH, "shop"}
    assert opened.waits == problem.waits


def test_a_window_after_the_shift_goes_on_with_it() -> None:
    """Where a window touches the shift, both are one span without a stop."""
    problem = offering(window("a", "03-12 14:30 16:30", "LM-01"))
    opened = with_opened(problem, {"a"})
    assert (at("03-12 12:30"), at("03-12 16:30")) in opened.calendars[-1].open
    assert (at("03-12 12:30"), at("03-12 16:30")) in opened.people[0].available


def test_nobody_is_asked_beyond_the_limits() -> None:
    """Windows are granted in order of time while day and week hold; standing first."""
    windows = [
        window("mon", "03-08 14:30 16:30", "LM-01"),
        window("tue", "03-09 14:30 16:30", "LM-01"),
        window("sat", "03-13 06:00 10:00", "LM-01", "LM-03"),
        window("next", "03-15 14:30 16:30", "LM-01"),
    ]
    every = {one.id for one in windows}

    def granted(problem: Problem, person: str) -> list[str]:
        there = {one.id: one for one in with_opened(problem, every).people}[person]
        return [
            one.id
            for one in windows
            if any(a <= one.window[0] < b for a, b in there.available)
        ]

    assert granted(offering(*windows, week=8), "LM-01") == ["mon", "tue", "sat", "next"]
    assert granted(offering(*windows, week=4), "LM-01") == ["mon", "tue", "next"]
    assert granted(offering(*windows, day=2, week=9), "LM-03") == []
    windows[2] = replace(windows[2], standing="opened")
    assert granted(offering(*windows, week=6), "LM-01") == ["mon", "sat", "next"]


def test_hours_are_counted_by_local_day_and_week() -> None:
    """Hours past midnight are of the next day, those of Sunday of the old week."""
    span = at("03-14 23:00"), at("03-15 02:00")
    days, weeks = hours_of([span], AXIS, 1)
    assert days == {"2027-03-14": 1.0, "2027-03-15": 2.0}
    assert weeks == {"2027-03-08": 1.0, "2027-03-15": 2.0}


def test_windows_of_a_committed_plan() -> None:
    """Those in which work stands are open from the start, others are a choice."""
    one, two = (
        window("a", "03-12 04:00 06:00", "LM-01", standing="opened"),
        window("b", "03-13 06:00 10:00", "LM-01", standing="closed"),
    )
    problem = offering(one, two, window("c", "03-20 06:00 10:00", "LM-01"))
    assert stands_open(problem) == {"a"}
    assert [row.id for row in may_open(problem)] == ["c"]
    assert compile_problem(problem).problem == with_opened(problem, {"a"})


def test_overtime_is_told_by_who_works_it() -> None:
    """Rows and price of an answer are those of its operations."""
    plan = overtime_plan()
    rows = [(one.person, one.start, one.finish) for one in plan.answer.overtime]
    span = at("03-12 04:30"), at("03-12 06:00")
    assert rows == [("LM-01", *span), ("LM-03", *span)]


def sound_sets(seeds: range) -> tuple[int, int]:
    """Check drawn plans of every set; count them and those with overtime."""
    plans = paid = 0
    for seed in seeds:
        problem = with_windows(random_problem(seed, facts=seed % 4 == 0), seed)
        bound = bound_with_overtime(compile_problem(problem))
        for opened in every_set(problem):
            compilation = compile_problem(problem, opened=opened)
            found = settled(compilation, seed)
            if found is None:
                continue
            written = document(compilation, found)
            for level in written["answer"]["levels"]:
                level |= {"bound": None, "status": "feasible"}
            assert check(written) == [], (seed, sorted(opened))
            assert bound is None or bound <= found.solution.values[0]
            plans += 1
            paid += written["answer"]["levels"][1]["value"] > 0
    return plans, paid


def test_plans_of_every_set_are_sound() -> None:
    """Plans with any windows open keep every rule, and the bound is below them all."""
    plans, paid = sound_sets(range(12))
    assert plans >= 40
    assert paid >= 10


@pytest.mark.slow
def test_plans_of_every_set_are_sound_on_many() -> None:
    """The same on 300 more problems."""
    plans, paid = sound_sets(range(12, 312))
    assert plans >= 1000
    assert paid >= 250


@pytest.mark.parametrize("seed", range(40))
def test_more_open_time_never_lets_a_boat_finish_later(seed: int) -> None:
    """Boats alone with all windows open are no later than with any set of them."""
    problem = with_windows(random_problem(seed), seed)
    every = {one.id for one in problem.overtime}
    a = compile_problem(problem, opened=every).arrays
    soonest = earliest_finishes(a, more_time=True)
    for opened in every_set(problem):
        alone = earliest_finishes(compile_problem(problem, opened=opened).arrays)
        assert np.all(soonest <= alone), sorted(opened)


def test_what_must_not_finish_too_soon_may_start_later_in_more_time() -> None:
    """Work bound to end at 15:45 or later starts at 13:15 at the earliest, pausing over
    the night; with the evening open it would start at 14:15, which bounds nothing.
    """
    evening = window("evening", "03-11 14:30 16:30", "LM-01")
    first, last = "B102/hull.prep", "B102/deck.prep"
    wait = Wait("w", "sequence", first, last, "end", "end", 540, None, None, "wall")
    problem = offering(evening)
    problem = replace(problem, waits=(*problem.waits, wait))
    regular, longer = (
        compile_problem(problem, opened=opened) for opened in ((), ("evening",))
    )
    op = regular.index_of[last]

    def start(compilation: Compilation, more_time: bool) -> int:
        state, _ = earliest_state(compilation.arrays, more_time=more_time)
        return int(state.start[op])

    assert start(regular, False) == at("03-11 13:15")
    assert start(longer, False) == at("03-11 14:15")
    assert start(longer, True) <= start(regular, False)


@pytest.mark.parametrize("seed", range(4))
def test_the_bound_is_below_the_optimum_of_every_set(seed: int) -> None:
    """The constraint model proves no set of windows better than the stated bound."""
    problem = with_windows(random_problem(seed, 2, 4), seed, 2)
    bound = bound_with_overtime(compile_problem(problem))
    for opened in every_set(problem) if bound is not None else ():
        compilation = compile_problem(problem, opened=opened)
        result = solve(compilation, hint=None, seconds=60.0, workers=1)
        assert result.status == "optimal"
        assert bound <= result.bound
