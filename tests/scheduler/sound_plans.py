"""Whether a solution is a plan: people are named and the checker looks at all of it."""

from __future__ import annotations

from typing import Any

from scheduler.answer import build_answer
from scheduler.checker import check
from scheduler.compiling.compile import Compilation
from scheduler.naming.names import name_people
from scheduler.naming.roster import build_roster
from scheduler.plan import Plan
from scheduler.plan_file import plan_to_json
from scheduler.solution import Solution


def violations(compilation: Compilation, solution: Solution) -> list[str] | None:
    """What the checker finds; None where no names can be given, so nothing is said."""
    document = document_of(compilation, solution)
    return None if document is None else check(document)


def document_of(compilation: Compilation, solution: Solution) -> dict[str, Any] | None:
    """The objects of a plan file; None where no names can be given."""
    naming = name_people(compilation, build_roster(compilation), solution)
    if naming.clashes:
        return None
    answer = build_answer(compilation, solution, naming, bound=None)
    plan = Plan(
        problem=compilation.stated,
        answer=answer,
        created="2027-01-01T00:00:00+00:00",
        versions={},
        seed=0,
        budget={},
        inputs={},
        method="test",
    )
    return plan_to_json(plan)
