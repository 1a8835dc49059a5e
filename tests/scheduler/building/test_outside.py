"""A supplier's lead becomes an operation without a crew on ends of days."""

from __future__ import annotations

from dataclasses import replace

import pytest

from models.orders import Book, InHand
from scheduler.building.build import build_problem, estimate_horizon_days
from scheduler.planner import Request, make_plan
from scheduler.problem import Operation
from scheduler.searching.search import Budget
from tests.scheduler.small_book import begun, done, small_book, small_model, step

FACTS = (
    done("B1", "prep", "2026-11-09T06:00", "2026-11-09T10:00", mold="H1"),
    done("B1", "gel_coat", "2026-11-09T10:15", "2026-11-09T12:00"),
    done("B1", "skin", "2026-11-10T06:00", "2026-11-10T10:00"),
    done("B1", "demold", "2026-11-13T13:00", "2026-11-13T14:30", place="Bay 1"),
)


def sent(left: str) -> InHand:
    """B1 has left for the supplier."""
    return begun("B1", "soak", left, 0, remaining_hours=None)


def book(lead_days: int, *facts: InHand) -> Book:
    """The small book, whose boats go to a supplier between demolding and rigging."""
    model = small_model()
    operations = tuple(
        step("soak", None, "floor", 0, lead_days=lead_days)
        if one.code == "soak"
        else one
        for one in model.operations
    )
    models = {"wren": replace(model, operations=operations)}
    return small_book(models=models, in_hand=facts)


def away(of: Book) -> Operation:
    """The outside operation of B1."""
    problem = build_problem(of, horizon_days=60)
    return next(one for one in problem.operations if one.id == "B1/soak")


def test_a_lead_is_one_end_of_a_day_more() -> None:
    """Five days of lead take six ends of days, of the delivery calendar by default."""
    one = away(book(5))
    assert one.duration_minutes == 6 * 15
    assert one.calendar == "shop: ends of days"
    assert (one.skill, one.crew_max, one.labor_hours) == (None, 0, 0)


@pytest.mark.parametrize(
    ("left", "days"),
    # Monday November 30 is the first day planned.
    [("2026-11-27T14:15", 5), ("2026-11-27T14:30", 6), ("2026-11-16T14:15", 1)],
)
def test_what_has_left_comes_back_by_its_lead(left: str, days: int) -> None:
    """The lead counts from the start; what is overdue is back tonight."""
    one = away(book(5, *FACTS, sent(left)))
    assert one.duration_minutes == days * 15
    assert one.remaining_hours is None


def test_a_plan_with_outside_work() -> None:
    """Left on a Friday for two working days: back on Tuesday evening, then rigging."""
    start = sent("2026-11-27T14:15")
    plan = make_plan(book(2, *FACTS, start), Request(Budget(None, 20), workers=1)).plan
    axis = plan.problem.axis
    rows = {one.operation: one for one in plan.answer.operations}
    assert axis.iso(rows["B1/soak"].finish)[:16] == "2026-12-01T14:30"
    assert axis.iso(rows["B1/rig"].start)[:10] >= "2026-12-02"
    other = rows["B2/soak"]
    assert axis.iso(other.finish - 1)[11:16] == "14:15"
    assert len(other.segments) == 3


def test_the_horizon_holds_a_lead() -> None:
    """A year of lead lets the estimate look more than a year ahead."""
    assert estimate_horizon_days(book(250)) > 350
