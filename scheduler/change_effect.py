"""What a change of an order does to the plan: planned without it, then with it.

The order's own work is free in the first plan too, and the second keeps the first
where it can, so that what differs comes of the change.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from scheduler.difference import Difference, difference
from scheduler.planner import make_plan

if TYPE_CHECKING:
    from models.orders import Book
    from scheduler.plan import Plan
    from scheduler.planner import Request


@dataclass(frozen=True)
class Effect:
    """The plan of what is true now, that with the change, and what differs."""

    before: Plan
    after: Plan
    difference: Difference


def effect_of(
    now: Book,
    then: Book,
    order: str,
    request: Request,
    should_stop: Callable[[], bool] = lambda: False,
) -> Effect:
    """Plan without and with a change.

    Parameters
    ----------
    now, then : Book
        As it is, and with the change.
    order : str
        The one that changes.
    request : Request
        How to plan each of both; its committed plan is the published one.

    Raises
    ------
    NoPlan
        If no plan keeps every rule.
    """
    own = _work_of(order, request.committed)
    freed = replace(request, released=own)
    before = make_plan(now, freed, should_stop=should_stop).plan
    around = replace(request, committed=before)
    after = make_plan(then, around, should_stop=should_stop).plan
    return Effect(before, after, difference(before, after))


def _work_of(order: str, plan: Plan | None) -> dict[str, str]:
    """Operations of an order in a plan, with why they give way."""
    if plan is None:
        return {}
    own = [one.id for one in plan.problem.operations if one.order == order]
    return dict.fromkeys(own, "the order is being changed")
