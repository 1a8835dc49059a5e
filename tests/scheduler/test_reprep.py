"""Re-preparation: put in where facts have broken a window, and only there."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from models.boat import BoatModel
from models.errors import DataFaults
from models.orders import InHand
from models.reprep import with_begun_reprep
from scheduler.building.build import build_problem
from scheduler.checker import check
from scheduler.compare import compare
from scheduler.plan import Plan
from scheduler.plan_file import plan_to_json
from scheduler.planner import Request, make_plan
from scheduler.problem import Problem
from scheduler.reprep_report import reprep_lines
from scheduler.searching.search import Budget
from tests.scheduler.mutations import change, found, planned
from tests.scheduler.small_book import begun, done, small_book, small_model, step

PREP = done("B1", "prep", "2026-11-25T06:00", "2026-11-25T10:00", mold="H2")
LATE = done("B1", "gel_coat", "2026-11-27T06:00", "2026-11-27T09:00")
IN_TIME = done("B1", "gel_coat", "2026-11-27T10:00", "2026-11-29T10:00")
BOND = "B1/gel_coat>skin/bond"


def grinding_model() -> BoatModel:
    """The small model with grinding for a gel coat that has waited too long."""
    model = small_model()
    grind = step("grind", "laminate", "floor", 3, caution="grinding")
    waits = (
        replace(one, reprep="grind") if one.kind == "bond" else one
        for one in model.waits
    )
    return replace(model, operations=(*model.operations, grind), waits=tuple(waits))


def problem_of(*rows: InHand) -> Problem:
    """The problem with some work in hand."""
    book = small_book(models={"wren": grinding_model()}, in_hand=rows)
    steps = [(row.order, row.operation) for row in rows]
    return build_problem(with_begun_reprep(book, steps))


def plan_of(*rows: InHand) -> Plan:
    """A plan with some work in hand."""
    book = small_book(models={"wren": grinding_model()}, in_hand=rows)
    steps = [(row.order, row.operation) for row in rows]
    request = Request(Budget(None, 20), workers=1)
    return make_plan(with_begun_reprep(book, steps), request).plan


def repreps(problem: Problem) -> list[tuple[str, str | None]]:
    """Operations that are re-preparations, with their waits."""
    return [(one.id, one.only_if) for one in problem.operations if one.only_if]


def test_a_window_that_facts_broke_gets_its_re_preparation() -> None:
    """It comes before the later step, its hours count, and the plan is sound."""
    plan = plan_of(PREP, LATE)
    assert repreps(plan.problem) == [("B1/grind", BOND)]
    assert check(plan_to_json(plan)) == []
    assert compare(plan.problem, problem_of(PREP, LATE)) == []
    rows = {one.operation: one for one in plan.answer.operations}
    assert rows["B1/grind"].finish <= rows["B1/skin"].start
    assert rows["B1/grind"].start >= plan.problem.now
    told = " ".join(reprep_lines(plan))
    assert (
        "B1/skin cannot begin in the 24 h after B1/gel_coat ended (2026-11-27 09:00): "
        "B1/grind comes first, from 2026-11-30 06:00, 3.0 h." in told
    )
    assert "Dust of grinding" in told
    spent = sum(one.finish - one.start for one in rows["B1/grind"].people)
    assert spent * plan.problem.axis.tick_minutes >= 3 * 60


def test_a_window_that_can_be_kept_stays_hard() -> None:
    """Without a broken window there is no re-preparation, and none of its hours."""
    for rows in ((), (PREP,), (PREP, IN_TIME)):
        plan = plan_of(*rows)
        assert reprep_lines(plan) == []
        assert repreps(plan.problem) == []
        assert "B1/grind" not in {one.operation for one in plan.answer.operations}
        wait = next(one for one in plan.problem.waits if one.id == BOND)
        assert wait.kept_maximum_minutes is not None


def test_a_re_preparation_that_was_begun_is_planned_on() -> None:
    """What the floor has begun of it stands, and the window does not count."""
    ground = begun("B1", "grind", "2026-11-27T12:00", 1.5)
    plan = plan_of(PREP, LATE, ground)
    assert repreps(plan.problem) == [("B1/grind", BOND)]
    assert check(plan_to_json(plan)) == []
    finished = done("B1", "grind", "2026-11-27T12:00", "2026-11-27T14:00")
    skinned = begun("B1", "skin", "2026-11-29T12:00", 2)
    plan = plan_of(PREP, LATE, finished, skinned)
    assert check(plan_to_json(plan)) == []


def test_work_begun_too_late_without_it_is_a_fault() -> None:
    """A later step that was begun after the window asks for what was done before."""
    skinned = begun("B1", "skin", "2026-11-29T12:00", 2)
    with pytest.raises(DataFaults) as caught:
        problem_of(PREP, LATE, skinned)
    assert "at most 24 h" in str(caught.value.faults[0])


MUTATIONS: dict[str, tuple[Callable[[Any], object], str]] = {
    "left out": (
        lambda d: d["answer"]["operations"].remove(planned(d, "B1/grind")),
        "B1/grind",
    ),
    "of no wait": (
        lambda d: change(found(d, "operations", id="B1/grind"), only_if=None),
        "do not name each other",
    ),
    "the window hard again": (
        lambda d: (
            change(found(d, "operations", id="B1/grind"), only_if=None),
            change(found(d, "waits", id=BOND), reprep=None),
        ),
        "at most 24 h are allowed",
    ),
    "not called for": (
        lambda d: change(found(d, "waits", id=BOND), max_minutes=60 * 24 * 60),
        "keeps its maximum",
    ),
    "not where it belongs": (
        lambda d: change(
            found(d, "waits", id=BOND), before="B1/demold", after="B1/rig"
        ),
        "B1/grind is not between B1/demold and B1/rig",
    ),
}


@pytest.mark.parametrize("name", MUTATIONS)
def test_a_false_re_preparation_is_seen(name: str) -> None:
    """The checker tells each way in which it can be wrong."""
    document = plan_to_json(plan_of(PREP, LATE))
    spoil, told = MUTATIONS[name]
    spoil(document)
    assert any(told in line for line in check(document))
