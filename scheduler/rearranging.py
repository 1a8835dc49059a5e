"""Rearranging a committed plan only where that is worth it.

The floor relies on what was published: people, material and visitors are arranged by
it. So the book is planned twice, around the committed plan and with leave to move what
begins after the frozen window, and the second is taken only if it saves more weighted
late days than the yard asks for (`least_gain_late_days`).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from models.errors import NoPlan
from models.orders import Book
from scheduler.planner import Outcome, Request, make_plan
from scheduler.searching.search import Budget, Report


def rearrange_if_worth_it(
    book: Book,
    request: Request,
    *,
    report: Report | None = None,
    should_stop: Callable[[], bool] = lambda: False,
) -> Outcome:
    """Plan with leave to rearrange; half the budget goes to each of the two plans.

    Level 1 decides alone: at an equal gain the plan with the committed work where it
    stood has the fewer changes. Without a late day around the committed plan nothing
    is rearranged.

    Raises
    ------
    DataFaults, NoPlan, PlanRefused
        As `scheduler.planner.make_plan`.
    """
    half = replace(request, budget=_half(request.budget))
    try:
        kept = make_plan(
            book,
            replace(half, rearrange=False),
            report=report,
            should_stop=should_stop,
        )
    except NoPlan:
        return make_plan(book, request, report=report, should_stop=should_stop)
    late = _late_days(kept)
    if late == 0 or should_stop():
        return _told(kept, "no late day to save by rearranging")
    moved = make_plan(book, half, report=report, should_stop=should_stop)
    gain, least = late - _late_days(moved), book.yard.objective.least_gain_late_days
    if gain > least:
        return _told(moved, f"rearranging saves {gain:g} weighted late days")
    asked = f", and more than {least} are asked for" if least else ""
    return _told(
        _bounded_by(kept, moved),
        f"published work kept: rearranging saves {max(gain, 0):g} weighted late days"
        f"{asked}",
    )


def _half(budget: Budget) -> Budget:
    seconds = None if budget.seconds is None else budget.seconds / 2
    work = None if budget.work is None else max(1, budget.work // 2)
    return Budget(seconds, work)


def _late_days(outcome: Outcome) -> float:
    return float(outcome.plan.answer.levels[0].value)


def _bounded_by(kept: Outcome, moved: Outcome) -> Outcome:
    """State of the kept plan only what no rearranged plan can beat either."""
    first, *others = kept.plan.answer.levels
    bound = moved.plan.answer.levels[0].bound
    levels = [replace(first, bound=bound, status="bounded")]
    levels += [replace(one, bound=None, status="feasible") for one in others]
    answer = replace(kept.plan.answer, levels=tuple(levels))
    plan = replace(kept.plan, answer=answer)
    return replace(kept, plan=plan, bounding=moved.bounding)


def _told(outcome: Outcome, words: str) -> Outcome:
    plan = replace(outcome.plan, method=f"{outcome.plan.method}; {words}")
    return replace(outcome, plan=plan)
