"""A plan's operations on an axis that begins earlier."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any, cast

from scheduler.plan import Answer, Plan, Planned
from scheduler.problem import Problem, Stint

STEP = Planned(
    "B-1/hull.prep", 4, 9, ((4, 6), (8, 9)), 1, (Stint("L-1", 4, 9),), "H", None
)


def plan_of(*steps: Planned) -> Plan:
    """A plan of these operations and nothing else."""
    answer = cast("Any", SimpleNamespace(operations=steps))
    problem = cast("Any", None)
    return Plan(cast("Problem", problem), cast("Answer", answer), "", {}, 0, {}, {}, "")


def test_every_instant_comes_later_by_as_much() -> None:
    """Starts, spans and stints move together; crew, mold and place stay."""
    plan = plan_of(STEP)
    assert plan.operations_later(0) == {STEP.operation: STEP}
    assert plan.operations_later(-3) == {
        STEP.operation: Planned(
            STEP.operation, 1, 6, ((1, 3), (5, 6)), 1, (Stint("L-1", 1, 6),), "H", None
        )
    }


def test_they_are_worked_out_once() -> None:
    """Building a problem around a plan again asks for the same."""
    plan = plan_of(STEP)
    assert plan.operations_later(7) is plan.operations_later(7)
    assert plan.operations_later(7) is not plan.operations_later(8)
