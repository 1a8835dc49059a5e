"""What is measured side by side in one cell, on one compiled book.

Each arm gives the first level (weighted working days late) of a plan that the
independent checker has passed, or, for the constraint model alone, of a plan without
names: the model counts people by sets of skills, so its figure flatters it.
"""

from __future__ import annotations

import time
from dataclasses import asdict, dataclass

from models.orders import Book
from scheduler.compiling.compile import Compilation
from scheduler.cp_model.model import solve
from scheduler.planner import Outcome, Request, make_plan
from scheduler.searching.search import Budget
from scheduler.solution import Solution


@dataclass(frozen=True)
class Arm:
    """One figure of a cell.

    `value` is None where the method found no plan, `bound` where it states none.
    """

    name: str
    seed: int
    asked_seconds: float
    spent_seconds: float
    value: int | None
    bound: int | None = None
    status: str = ""
    decodes: int | None = None

    def row(self) -> dict[str, object]:
        """As the file of a cell holds it."""
        return asdict(self)


def plan_arm(book: Book, seconds: float, seed: int) -> tuple[Arm, Outcome]:
    """The way of `hullpace plan`: search, names, constraint model, bound, checker."""
    began = time.perf_counter()
    outcome = make_plan(book, Request(Budget(seconds), seed=seed))
    spent = time.perf_counter() - began
    first = outcome.plan.answer.levels[0]
    arm = Arm(
        "hullpace plan", seed, seconds, spent, int(first.value),
        None if first.bound is None else int(first.bound),
        first.status, outcome.found.decodes,
    )  # fmt: skip
    return arm, outcome


def rule_arms(outcome: Outcome) -> list[Arm]:
    """Dispatch rules with the same decoder, each at the better of two crew policies.

    Their seconds are not told: a decode is a few milliseconds.
    """
    arms = [
        Arm(f"rule: {name}", 0, 0.0, 0.0, value)
        for name, value in sorted(outcome.found.rules.items())
    ]
    due = outcome.found.due_date_value
    return [Arm("earliest due date", 0, 0.0, 0.0, due), *arms]


def model_arm(compilation: Compilation, hint: Solution | None, seconds: float) -> Arm:
    """One constraint model of the whole book, with or without a plan to begin from.

    The time to write the model counts.
    """
    began = time.perf_counter()
    result = solve(compilation, hint=hint, seconds=seconds)
    spent = time.perf_counter() - began
    name = "one model" if hint is None else "one model, our plan as hint"
    value = None if result.solution is None else int(result.solution.values[0])
    return Arm(name, 0, seconds, spent, value, result.bound, result.status)
