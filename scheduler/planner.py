"""The whole way from a book to a checked plan."""

from __future__ import annotations

import importlib.metadata
import math
import platform
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from models.errors import PlanRefused
from scheduler.answer import build_answer
from scheduler.bounding.book_bound import BookBound, bound_book
from scheduler.bounds import bound_with_overtime
from scheduler.building.commitment import standing
from scheduler.checker import check
from scheduler.compiling.arrays import BY_DUE_DATES
from scheduler.compiling.compile import Compilation
from scheduler.cp_model.rescue import rescue
from scheduler.cp_model.tighten import (
    Effort,
    Tightened,
    is_small,
    level_of,
    tighten,
)
from scheduler.cp_model.tuning import DECODES_A_UNIT
from scheduler.fitting import build_for, fitting_compilation, quick_finish
from scheduler.late_totals import next_bound
from scheduler.missed_windows import with_missed_windows
from scheduler.moves import list_moves, releases
from scheduler.naming.best import best_named
from scheduler.naming.settle import Settled
from scheduler.overtime import may_open
from scheduler.overtime_choice import Chosen, plan_with_overtime, report_at_most
from scheduler.plan import Plan
from scheduler.plan_file import plan_to_json
from scheduler.searching.improve import improve, remaining_budget
from scheduler.searching.search import Budget, Found, Report, facts_of, search

if TYPE_CHECKING:
    from models.orders import Book
    from scheduler.compiling.arrays import Arrays
    from scheduler.decoding.placing import Choices

SMALL_SHARE, LARGE_SHARE = 0.85, 0.15
"""Part of the budget that the constraint model gets, by size of the book."""

SEARCH_SHARE = 0.7
"""Part of the rest that goes to the search of orders; reinsertion gets what is left."""

BOUND_SHARE = 0.1
"""Part of the seconds that raising the bound may take on top of them."""


@dataclass(frozen=True)
class Request:
    """How to plan."""

    budget: Budget = field(default_factory=Budget)
    seed: int = 0
    workers: int = 2
    committed: Plan | None = None
    rearrange: bool = False
    released: Mapping[str, str] | None = None  # what gives way, with the cause
    exact: bool = True  # use the constraint-programming model where it pays
    goal: int = BY_DUE_DATES
    overtime: bool = True  # whether windows of it may be opened


@dataclass(frozen=True)
class Outcome:
    """A checked plan and what the search knows about it."""

    plan: Plan
    compilation: Compilation
    settled: Settled
    found: Found
    bounding: BookBound | None  # None: the book is too large, or nothing to gain


def make_plan(
    book: Book,
    request: Request,
    *,
    report: Report | None = None,
    should_stop: Callable[[], bool] = lambda: False,
) -> Outcome:
    """Plan a book.

    Raises
    ------
    DataFaults
        If facts contradict the book.
    NoPlan
        If no plan keeps every rule; the message names what cannot be placed.
    PlanRefused
        If the plan breaks a rule after all (a defect of the planner).
    """
    book = with_missed_windows(book)
    compilation, request = _compilation_with_a_plan(book, request)
    if may_open(compilation.stated):
        chosen = _choose_overtime(compilation, request, report, should_stop)
        compilation, done, found = chosen.compilation, chosen.done, chosen.found
    else:
        done, found = find_plan(
            compilation, request, report=report, should_stop=should_stop
        )
    bounding = raise_bound(compilation, request, done, should_stop)
    if bounding is not None:
        least = next_bound(compilation.arrays, bounding.value)
        done = replace(done, bound=max(done.bound, least))
    plan = assemble(book, request, compilation, done)
    refuse_unless_sound(plan)
    return Outcome(plan, compilation, done.settled, found, bounding)


def _choose_overtime(
    compilation: Compilation,
    request: Request,
    report: Report | None,
    should_stop: Callable[[], bool],
) -> Chosen:
    """Plan with the windows of overtime open that are worth their price."""
    told = report_at_most(report, bound_with_overtime(compilation))

    def find(
        compilation: Compilation, budget: Budget, starts: Sequence[Choices]
    ) -> tuple[Tightened, Found]:
        return find_plan(
            compilation,
            replace(request, budget=budget),
            starts=starts,
            report=told,
            should_stop=should_stop,
        )

    return plan_with_overtime(
        compilation,
        request.budget,
        find,
        exact=request.exact,
        seed=request.seed,
        workers=request.workers,
        should_stop=should_stop,
    )


def _compilation_with_a_plan(
    book: Book, request: Request
) -> tuple[Compilation, Request]:
    """Compile a book; where facts leave no plan, with as little freed as is needed.

    Where freeing does not help either, nothing is freed, and `rescue` is asked.
    """
    compilation = fitting_compilation(book, request)
    if request.committed is None or quick_finish(compilation) is not None:
        return compilation, request
    problem = build_for(book, request, None)
    for released in releases(problem, request.committed, rearrange=request.rearrange):
        wider = replace(request, released=released)
        freed = fitting_compilation(book, wider)
        if quick_finish(freed) is not None:
            return freed, wider
    return compilation, request


def find_plan(
    compilation: Compilation,
    request: Request,
    *,
    starts: Sequence[Choices] = (),
    report: Report | None = None,
    should_stop: Callable[[], bool] = lambda: False,
) -> tuple[Tightened, Found]:
    """Search, improve, name and tighten: the best plan with names, and the search's.

    Raises
    ------
    NoPlan
        If no plan keeps every rule.
    """
    facts = facts_of(compilation.arrays)
    searching, improving, effort = split_budget(compilation.arrays, request)
    found = search(
        compilation.arrays,
        facts,
        searching,
        seed=request.seed,
        workers=request.workers,
        starts=list(starts),
        report=report,
        should_stop=should_stop,
    )
    improved = improve(
        compilation.arrays,
        facts,
        found,
        remaining_budget(searching, improving, found),
        seed=request.seed,
        workers=request.workers,
        report=report,
        should_stop=should_stop,
    )
    if not found.choices and not improved:
        return rescue(compilation, effort, should_stop), found
    settled = best_named(compilation, found, improved)
    return tighten(compilation, settled, found.bound, effort, should_stop), found


def raise_bound(
    compilation: Compilation,
    request: Request,
    done: Tightened,
    should_stop: Callable[[], bool],
) -> BookBound | None:
    """Bound level 1 by what boats share, where nothing has proven the plan."""
    value = done.settled.solution.values[0]
    if not request.exact or value <= done.bound or may_open(compilation.stated):
        return None
    seconds = math.inf
    if request.budget.work is None:
        seconds = BOUND_SHARE * (request.budget.seconds or 0.0)
    return bound_book(compilation, value, seconds, should_stop)


def split_budget(a: Arrays, request: Request) -> tuple[Budget, Budget, Effort]:
    """Divide the budget between search, reinsertion and the constraint model.

    A small book leaves most of it to the model, which can prove; a large one little.
    """
    share = 0.0
    if request.exact:
        share = SMALL_SHARE if is_small(a) else LARGE_SHARE
    budget = request.budget
    if budget.work is not None:
        for_model = budget.work * share
        left = budget.work - for_model
        searching = Budget(None, max(1, int(left * SEARCH_SHARE)))
        improving = Budget(None, int(left * (1 - SEARCH_SHARE)))
        deterministic = for_model / DECODES_A_UNIT[level_of(a)]
        seconds = 3600.0 if share else 0.0
        return searching, improving, Effort(seconds, deterministic, 1, request.seed)
    seconds = budget.seconds or 0.0
    left = seconds * (1 - share)
    return (
        Budget(left * SEARCH_SHARE),
        Budget(left * (1 - SEARCH_SHARE)),
        Effort(seconds * share, None, request.workers, request.seed),
    )


def assemble(
    book: Book,
    request: Request,
    compilation: Compilation,
    done: Tightened,
) -> Plan:
    """Write everything down as a plan.

    Where windows of overtime may be opened, the bound is one that holds for every set.
    """
    problem = compilation.stated
    answer = build_answer(
        compilation,
        done.settled.solution,
        done.settled.naming,
        bound=done.bound,
    )
    if request.committed is not None:
        given = standing(
            problem,
            request.committed,
            rearrange=request.rearrange,
            released=request.released,
        )
        moves = list_moves(problem, given.moved, answer.operations)
        answer = replace(answer, moves=moves)
    return Plan(
        problem=problem,
        answer=answer,
        created=datetime.now(UTC).isoformat(timespec="seconds"),
        versions=versions(),
        seed=request.seed,
        budget={
            "seconds": request.budget.seconds,
            "work": request.budget.work,
            "workers": request.workers,
        },
        inputs=dict(book.sources or {}),
        method=done.method,
    )


def versions() -> dict[str, str]:
    """What a plan was made with."""
    return {
        "hullpace": importlib.metadata.version("hullpace"),
        "python": platform.python_version(),
        "ortools": importlib.metadata.version("ortools"),
        "numpy": importlib.metadata.version("numpy"),
    }


def refuse_unless_sound(plan: Plan) -> None:
    """Check a plan with the independent checker.

    Raises
    ------
    PlanRefused
        If it breaks a rule.
    """
    violations = check(plan_to_json(plan))
    if violations:
        shown = "; ".join(violations[:5])
        more = f" (and {len(violations) - 5} more)" if len(violations) > 5 else ""
        raise PlanRefused(f"the plan breaks rules and was not written: {shown}{more}")
