"""A plan of the demo yard, made once for all tests of the board."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from dashboard.view import View, make_view
from models.loading import load_book
from models.names import load_names
from scheduler.plan import Plan
from scheduler.planner import Request, make_plan
from scheduler.searching.search import Budget

DEMO = Path(__file__).resolve().parent.parent.parent / "demo_orders"
LITTLE_WORK = Budget(None, 60)


@cache
def demo_plan() -> Plan:
    """A plan made with little work: whole and checked, but not a good one."""
    request = Request(budget=LITTLE_WORK, exact=False)
    return make_plan(load_book(DEMO), request).plan


@cache
def demo_view() -> View:
    """The same, prepared for drawing, with the yard's names."""
    return make_view(demo_plan(), load_names(DEMO))
