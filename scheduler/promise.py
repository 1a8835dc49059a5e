"""A date for one more boat, with no operation of another boat moved.

*Fixed insertion*: everything in the committed plan stands; the new boat takes what is
left of people, molds, places and stations. The date is therefore safe, not the
soonest that a plan made anew could give.
"""

from __future__ import annotations

import csv
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from models.errors import DataFaults, Fault, NoPlan, UsageError
from models.job_orders import work_orders
from models.loading import load_book
from models.loading.order_tables import own_orders
from scheduler.bounds import earliest_finishes, of_every_set
from scheduler.building.build import build_problem
from scheduler.building.commitment import standing
from scheduler.compiling.compile import Compilation, compile_problem
from scheduler.cp_model.tighten import Tightened
from scheduler.missed_windows import with_missed_windows
from scheduler.naming.settle import settle
from scheduler.planner import Request, assemble, refuse_unless_sound
from scheduler.searching.search import Budget, facts_of, search, warm_up
from scheduler.waiting_for import Causes

if TYPE_CHECKING:
    from models.orders import Book
    from scheduler.plan import Plan

NAME = "quote"
COLUMNS = (
    "order", "customer_ref", "model", "options", "graphics", "wanted", "promised",
    "release", "weight", "dealer_ref", "note",
)  # fmt: skip
DECODES = 300
EXTRA_DAYS = (120, 400, 900)
"""Days added to the committed plan's horizon until the new boat fits."""


@dataclass(frozen=True)
class Quote:
    """The answer to "when can this customer have this boat?".

    `finish` is the planned finish, `proposed` the date to give (buffer included),
    `alone` the finish in an empty yard; `waits_days` what it waits for, longest first,
    and `longest_wait` the first of these with the step that waits; `plan` holds the
    committed boats and the new one, checked.
    """

    finish: date
    proposed: date
    alone: date
    waits_days: dict[str, float]
    longest_wait: tuple[str, str] | None
    plan: Plan


def asked_book(
    yard: Path,
    order_files: Sequence[Path] | None,
    *,
    model: str,
    options: Sequence[str] = (),
    graphics: str | None = None,
) -> Book:
    """Load a book with one more order, called `NAME`, wanted as soon as can be.

    The order goes through the same checks as any other.

    Raises
    ------
    DataFaults
        If the book is wrong, or model, options or graphics do not go together.
    """
    as_of = load_book(yard, order_files).yard.as_of
    with tempfile.TemporaryDirectory() as folder:
        asked = Path(folder) / "asked.csv"
        with asked.open("w", encoding="utf-8", newline="") as file:
            writer = csv.writer(file)
            writer.writerow(COLUMNS)
            row = (NAME, "", model, ";".join(options), graphics or "", as_of)
            writer.writerow([*row, *[""] * (len(COLUMNS) - len(row))])
        try:
            return load_book(yard, [*(order_files or [own_orders(yard)]), asked])
        except DataFaults as faults:
            raise DataFaults(_without_folder(one) for one in faults.faults) from None


def _without_folder(fault: Fault) -> Fault:
    """Name the asked boat itself, not the file that it was passed in."""
    if fault.file.endswith("asked.csv"):
        column = fault.where.partition(", ")[2] or fault.where
        return replace(fault, file="the boat asked for", where=column)
    return fault


def quote(book: Book, plan: Plan, *, seed: int = 0, name: str = NAME) -> Quote:
    """Find the earliest date for the order `name` beside a committed plan.

    Raises
    ------
    UsageError
        If the plan does not fit the book any more.
    NoPlan
        If the boat cannot be built within three years.
    """
    book = with_missed_windows(book)
    others = tuple(one for one in book.orders if one.order != name)
    _refuse_stale(replace(book, orders=others), plan)
    for extra in EXTRA_DAYS:
        compilation = _compile(book, plan, extra)
        found = _insert(book, compilation, name, seed)
        if found is not None:
            return found
    raise NoPlan(f"no date: this boat cannot be built within {EXTRA_DAYS[-1]} days")


def _refuse_stale(book: Book, plan: Plan) -> None:
    """Refuse a plan that the book has overtaken: its dates would not be safe."""
    known = {one.order for one in plan.problem.orders}
    missing = [one.order for one in work_orders(book) if one.order not in known]
    if missing:
        raise UsageError(
            f"the plan does not hold {', '.join(missing[:5])}: make a new one with "
            "`hullpace plan` first"
        )
    problem = build_problem(book, horizon_days=_days(plan, 0))
    moved = standing(problem, plan).moved
    if moved:
        name, cause = next(iter(moved.items()))
        raise UsageError(
            f"{len(moved)} operations of the plan cannot stand any more (first {name}: "
            f"{cause}): make a new one with `hullpace plan` first"
        )


def _days(plan: Plan, extra: int) -> int:
    axis = plan.problem.axis
    last = max((one.finish for one in plan.answer.operations), default=0)
    days = (axis.local(last).date() - axis.local(plan.problem.now).date()).days
    return days + extra + 2 * plan.problem.buffer_days


def _compile(book: Book, plan: Plan, extra: int) -> Compilation:
    return compile_problem(
        build_problem(book, horizon_days=_days(plan, extra), committed=plan)
    )


def _insert(book: Book, compilation: Compilation, name: str, seed: int) -> Quote | None:
    """Place the boat as early as a short search finds; None if it does not fit."""
    a = compilation.arrays
    facts = facts_of(a)
    warm_up(a, facts)
    found = search(a, facts, Budget(None, DECODES), seed=seed, workers=1)
    for choices in found.choices:
        settled = settle(compilation, facts, choices)
        if settled is None:
            continue
        request = Request(budget=Budget(None, DECODES), seed=seed)
        bound = of_every_set(compilation, found.bound)
        done = Tightened(settled, bound, "fixed insertion")
        plan = assemble(book, request, compilation, done)
        refuse_unless_sound(plan)
        boat = compilation.orders.index(name)
        result = next(one for one in plan.answer.orders if one.order == name)
        axis = compilation.problem.axis
        if result.proposed is None or result.proposed >= str(compilation.days[-1]):
            return None
        causes = Causes(plan)
        return Quote(
            finish=axis.local(result.finish - 1).date(),
            proposed=date.fromisoformat(result.proposed),
            alone=axis.local(int(earliest_finishes(a)[boat]) - 1).date(),
            waits_days=causes.waits_of_order(name),
            longest_wait=causes.longest_wait(name),
            plan=plan,
        )
    return None
