"""The bound that holds for every set of windows, against the optimum of each set."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import pytest

from scheduler.compiling.compile import compile_problem
from scheduler.cp_model.model import solve
from scheduler.cp_model.tighten import Effort
from scheduler.overtime_bound import HAND, bound_by_model, with_every_window
from scheduler.problem import Problem, Wait
from tests.scheduler.test_overtime import every_set
from tests.scheduler.test_overtime_choice import hurried

EFFORT = Effort(60.0, None, 1, 0)


def never() -> bool:
    """Nobody asks to stop."""
    return False


def bounds_and_optima(seeds: Iterable[int]) -> list[tuple[int, int, int]]:
    """Of each problem: the bound asked for from regular time, its value, the best."""
    rows = []
    for seed in seeds:
        problem = hurried(seed)
        found = [
            solve(
                compile_problem(problem, opened=opened),
                hint=None,
                seconds=60,
                workers=1,
            )
            for opened in every_set(problem)
        ]
        optima = [one.solution.values[0] for one in found if one.status == "optimal"]
        regular = compile_problem(problem)
        plan = solve(regular, hint=None, seconds=60, workers=1).solution
        if plan is None or len(optima) < len(found):
            continue
        bound = bound_by_model(regular, plan, EFFORT, never)
        rows.append((bound, plan.values[0], min(optima)))
    return rows


def test_no_set_of_windows_beats_the_bound() -> None:
    """The proven optimum of every set is no less; sometimes the bound is the best."""
    rows = bounds_and_optima(range(12))
    assert len(rows) >= 8
    assert all(bound <= best <= value for bound, value, best in rows)
    assert any(0 < bound == best for bound, _, best in rows)


@pytest.mark.slow
def test_no_set_of_windows_beats_the_bound_on_many() -> None:
    """The same on 200 problems."""
    rows = bounds_and_optima(range(200))
    assert len(rows) >= 150
    assert all(bound <= best <= value for bound, value, best in rows)


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


def test_hands_are_there_in_windows_alone() -> None:
    """Nobody is added to regular time."""
    problem = hurried(1)
    wider = with_every_window(problem)
    hands = [one for one in wider.people if one.id.startswith(HAND)]
    spans = {one.window for one in problem.overtime}
    assert hands
    for hand in hands:
        for start, end in hand.available:
            assert any(first <= start and end <= last for first, last in spans)
