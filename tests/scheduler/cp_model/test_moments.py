"""Moments of the constraint model against direct look-ups on the calendars."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest
from ortools.sat.python import cp_model

from scheduler.compiling.compile import compile_problem
from scheduler.cp_model.axes import AxisBook, TickAxis
from scheduler.cp_model.draft import Draft, Quantity
from scheduler.cp_model.moments import Moment
from tests.scheduler.random_problems import random_problem


def value_at(draft: Draft, at: Quantity, index: int, wanted: Quantity) -> int:
    """What the model makes of a quantity once an index is given."""
    model = draft.model.clone()
    model.add(at.expr == index)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    assert solver.solve(model) == cp_model.OPTIMAL
    return int(solver.value(wanted.expr))


def axes_of(seed: int, calendars: str) -> AxisBook:
    """Axes of a random yard."""
    problem = random_problem(seed, boats=2, operations=8, calendars=calendars)
    return AxisBook(compile_problem(problem).arrays)


@pytest.mark.parametrize("calendars", ["same", "mixed"])
def test_instants_on_other_axes_are_exact(calendars: str) -> None:
    """Start and end of a tick have the wall clock and index that look-ups give."""
    random = Random(calendars)
    stepped = 0
    for seed in range(6):
        axes = axes_of(seed, calendars)
        for axis in axes.tracks:
            low = random.randrange(20, 60)
            high = low + random.randrange(90, 300)
            at_end = random.random() < 0.5
            draft = Draft()
            at = draft.whole(low, high, low + 5)
            moment = Moment(draft, axis, at, at_end=at_end)
            targets = [axes.all, *axes.tracks]
            wanted = [moment.on(target) for target in targets]
            for index in (low, high, *random.sample(range(low, high), 4)):
                tick = int(axis.ticks[index]) + at_end
                for target, quantity in zip(targets, wanted, strict=True):
                    expected = int((target.ticks < tick).sum())
                    assert value_at(draft, at, index, quantity) == expected
            stepped += moment.split() is not None
    assert stepped > 3


def test_hints_of_functions_follow_from_the_index() -> None:
    """A function's hint is its value at the hint of the index."""
    axes = axes_of(3, "same")
    axis = axes.tracks[0]
    draft = Draft()
    moment = Moment(draft, axis, draft.whole(10, 200, 77), at_end=True)
    assert moment.on(axes.all).value == int(axis.ticks[77]) + 1
    assert moment.on(axis).value == 78


def test_days_are_parted_at_nights_only() -> None:
    """A day of work has breaks in it and ends at the night."""
    ticks = np.array([*range(24, 36), *range(38, 50), *range(120, 132)])
    axis = TickAxis(ticks, 200, 96)
    assert axis.day_at.tolist() == [0, 24, 36]
    assert [axis.day_of(index) for index in (0, 23, 24, 35)] == [0, 0, 1, 1]
    assert axis.run_end[[0, 12, 24]].tolist() == [12, 24, 36]
    assert axis.before[[24, 37, 200]].tolist() == [0, 12, 36]


def test_ends_of_lengthened_cures_are_the_wall_clock_and_few_steps() -> None:
    """A cure that a colder month lengthens has no step at nights, and is exact."""
    ticks = np.concatenate([day * 96 + np.arange(24, 56) for day in range(40)])
    axis = TickAxis(ticks, 40 * 96, 96)
    starts = np.arange(40 * 96 + 2)
    ends = starts + 96 + np.clip((starts - 1900) // 8, 0, 12)
    draft = Draft()
    at = draft.whole(0, len(ticks) - 1, 700)
    moment = Moment(draft, axis, at, at_end=True)
    wanted = moment.of(ends)
    assert wanted.value == ends[ticks[700] + 1]
    for index in (0, 31, 32, 600, 605, 611, 640, 641, len(ticks) - 1):
        assert value_at(draft, at, index, wanted) == ends[ticks[index] + 1]
    assert len(draft.model.proto.variables) < 20


def shop(saturdays: bool, broken: bool) -> TickAxis:
    """Eight weeks of five days, with a break or without, and Saturdays."""
    weekday = np.delete(np.arange(24, 58), slice(12, 14) if broken else slice(32, 34))
    saturday = np.arange(24, 48)
    days = [
        (week * 7 + day) * 96 + (saturday if day == 5 else weekday)
        for week in range(8)
        for day in range(6 if saturdays and week != 3 else 5)
    ]
    return TickAxis(np.concatenate(days), 8 * 7 * 96, 96)


@pytest.mark.parametrize("at_end", [False, True])
def test_saturdays_worked_are_exact_and_cost_few_literals(*, at_end: bool) -> None:
    """Where some weeks have a sixth, shorter day, two literals a week are enough."""
    axis, other = shop(saturdays=True, broken=True), shop(saturdays=False, broken=True)
    reference = TickAxis(np.arange(8 * 7 * 96), 8 * 7 * 96, 96)
    draft = Draft()
    at = draft.whole(5, len(axis) - 40, 170)
    moment = Moment(draft, axis, at, at_end=at_end)
    targets = [reference, other, axis]
    wanted = [moment.on(target) for target in targets]
    assert len(draft.model.proto.variables) < 40
    for index in (5, 6, 159, 160, 161, 183, 184, 185, 343, 344, 400, 515, 530, 1000):
        tick = int(axis.ticks[index]) + at_end
        for target, quantity in zip(targets, wanted, strict=True):
            assert value_at(draft, at, index, quantity) == int(
                (target.ticks < tick).sum()
            )
    tick = int(axis.ticks[170]) + at_end
    assert [one.value for one in wanted] == [
        int((target.ticks < tick).sum()) for target in targets
    ]


def test_work_in_one_go_stays_in_its_saturday() -> None:
    """Its end is in the day of its start: on a Saturday, too."""
    axis = shop(saturdays=True, broken=False)
    draft = Draft()
    at = draft.whole(0, 400, None)
    start = Moment(draft, axis, at)
    length = draft.whole(4, 20, None)
    last = draft.whole(3, 419, None)
    draft.model.add(last.expr == at.expr + length.expr - 1)
    end = Moment(draft, axis, last, at_end=True, same_day=start)
    end.split()
    for first, ticks in [(0, 20), (12, 20), (13, 20), (160, 20), (164, 20), (165, 20)]:
        model = draft.model.clone()
        model.add(at.expr == first)
        model.add(length.expr == ticks)
        fits = axis.run_end[first] >= first + ticks
        solver = cp_model.CpSolver()
        expected = cp_model.OPTIMAL if fits else cp_model.INFEASIBLE
        assert solver.solve(model) == expected
