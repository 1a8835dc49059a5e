"""The planner from book to checked plan."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

import pytest

from models.loading import load_book
from models.orders import Book
from models.sample import write_sample
from scheduler.checker import check
from scheduler.fitting import fitting_compilation
from scheduler.plan_file import answer_to_json, plan_to_json, read_plan, write_plan
from scheduler.planner import Outcome, Request, make_plan
from scheduler.searching.search import Budget

YARD = Path("demo_orders")


@lru_cache
def demo() -> Book:
    """The demo yard's book."""
    return load_book(YARD)


@lru_cache
def quick() -> Outcome:
    """A quick plan of the demo book."""
    request = Request(budget=Budget(None, 60), workers=2, exact=False)
    return make_plan(demo(), request)


def test_the_demo_plan_passes_the_checker() -> None:
    """No plan comes back unless the independent checker finds nothing."""
    assert check(plan_to_json(quick().plan)) == []


def test_a_real_book_is_named_without_a_cut() -> None:
    """Crews counted by kind stay whole through each stretch, so names come at once.

    A scan that tested ticks one by one took crews that no stretch could keep.
    """
    assert quick().settled.cuts == 0


def test_a_plan_survives_its_file(tmp_path: Path) -> None:
    """What is written is what is read."""
    path = tmp_path / "plan.json"
    write_plan(quick().plan, path)
    assert plan_to_json(read_plan(path)) == plan_to_json(quick().plan)


def test_a_work_budget_gives_the_same_answer_again() -> None:
    """Equal work and seed give an equal answer block, whatever the workers."""
    again = make_plan(demo(), Request(budget=Budget(None, 60), workers=1, exact=False))
    axis = again.plan.problem.axis
    assert answer_to_json(again.plan.answer, axis) == answer_to_json(
        quick().plan.answer, axis
    )


def test_earliest_due_date_is_late_on_the_demo_book() -> None:
    """The demo book is loaded enough that the usual rule is late."""
    value = quick().found.due_date_value
    assert value is not None
    assert value > 0
    assert quick().settled.solution.values[0] <= value


def test_new_orders_leave_a_committed_plan_alone() -> None:
    """The week's orders are planned around what is committed."""
    book = load_book(YARD, [YARD / "orders.csv", YARD / "week" / "orders.csv"])
    before = quick().plan
    request = Request(budget=Budget(None, 60), committed=before, exact=False)
    after = make_plan(book, request).plan
    old = {one.order: one for one in before.answer.orders}
    fresh = [one for one in after.answer.orders if one.order not in old]
    assert len(fresh) == 4
    for one in after.answer.orders:
        if one.order in old:
            instant = after.problem.axis.instant(one.finish)
            assert instant == before.problem.axis.instant(old[one.order].finish)


def test_rearranging_keeps_the_frozen_window() -> None:
    """With leave to rearrange, what starts inside the frozen window still stands."""
    before = quick().plan
    request = Request(
        budget=Budget(None, 60), committed=before, rearrange=True, exact=False
    )
    after = make_plan(demo(), request).plan
    axis = after.problem.axis
    now = {one.operation: one for one in after.answer.operations}
    for one in before.answer.operations:
        instant = before.problem.axis.instant(one.start)
        if instant < axis.instant(after.problem.frozen_until):
            assert axis.instant(now[one.operation].start) == instant


@pytest.mark.parametrize("seed", [1, 2])
def test_a_small_book_is_bounded_by_the_model(tmp_path: Path, seed: int) -> None:
    """The constraint model plans small books; its bound is never above the value."""
    write_sample(tmp_path / "yard", YARD, 4, seed, 1.0, None)
    book = load_book(tmp_path / "yard")
    outcome = make_plan(book, Request(budget=Budget(6.0)))
    first = outcome.plan.answer.levels[0]
    assert first.bound is not None
    assert first.bound <= first.value


def test_the_horizon_fits_the_book() -> None:
    """The axis ends after the last finish, but not years after it."""
    a = fitting_compilation(demo(), Request()).arrays
    days = (a.ticks - a.now) / a.ticks_per_day
    assert days < 500
