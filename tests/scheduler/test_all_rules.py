"""Books that use every rule of the shop at once."""

from __future__ import annotations

from pathlib import Path

from models.loading import load_book
from models.sample import write_sample
from models.sample.rules import RULES
from scheduler.checker import check
from scheduler.plan_file import plan_to_json
from scheduler.planner import Request, make_plan
from scheduler.searching.search import Budget

DEMO = Path(__file__).parents[2] / "demo_orders"


def test_a_plan_with_all_rules_breaks_none(tmp_path: Path) -> None:
    """Service, limits, set-ups, slots, overtime and the rest at once, checked."""
    write_sample(tmp_path / "yard", DEMO, 3, 2, 1.0, None, rules=RULES)
    book = load_book(tmp_path / "yard")
    request = Request(Budget(None, 40), workers=1, exact=False)
    plan = make_plan(book, request).plan
    assert check(plan_to_json(plan)) == []
    codes = {one.code for one in plan.problem.operations}
    assert "final.lettering" in codes
    assert {one.slots for one in plan.problem.operations} == {None, "launch-slots"}
    assert plan.problem.limits
    assert plan.problem.temperature
    assert plan.problem.overtime
