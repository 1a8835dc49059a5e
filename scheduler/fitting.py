"""A problem whose horizon fits its book: memory and time grow with the axis."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from scheduler.building.build import build_problem, estimate_horizon_days
from scheduler.compiling.compile import Compilation, compile_problem
from scheduler.decoding.decoder import (
    VALUES,
    decode,
    due_positions,
    facts_state,
    new_state,
    open_boats,
)
from scheduler.overtime import without_choice
from scheduler.searching.chain import new_choices
from scheduler.searching.search import Budget, search, warm_up

if TYPE_CHECKING:
    from models.orders import Book
    from scheduler.building.orders import Known
    from scheduler.planner import Request
    from scheduler.problem import Problem

HORIZONS = (0.75, 1.0, 4.0)
"""Horizons to try, in estimates, which are long on purpose: mostly 3/4 of one do."""

SHORTER = 0.8  # a horizon is cut if that makes it at least this much shorter
SPARE_DAYS = 60
"""Days that the horizon keeps after the last finish of a quick first plan."""


def fitting_compilation(book: Book, request: Request) -> Compilation:
    """Build and compile a problem whose horizon holds the book without much waste.

    Where no rule gives a plan on any horizon, the estimated one stands.
    """
    known: Known = {}
    estimate, goal = estimate_horizon_days(book, known), request.goal
    stands = None
    for share in HORIZONS:
        days = int(share * estimate)
        compilation = compile_problem(build_for(book, request, days, known), goal)
        stands = compilation if share == 1.0 else stands
        last = quick_finish(compilation)
        if last is not None:
            break
    else:
        assert stands is not None
        return stands
    needed = _needed_days(compilation, last)
    if not SHORTER * days <= needed <= days:
        fitted = compile_problem(build_for(book, request, needed, known), goal)
        if quick_finish(fitted) is not None:
            return fitted
    return compilation


def quick_finish(compilation: Compilation) -> int | None:
    """Last finish of a plan by the best dispatch rule; None if no rule gives a plan."""
    a = compilation.arrays
    facts, sound = facts_state(a)
    if not sound:
        return None
    warm_up(a, facts)
    state, value = new_state(a), np.zeros(VALUES, np.int64)
    nothing = new_choices(a, open_boats(a))
    quick = search(a, facts, Budget(0.0)).choices if len(nothing.order) else [nothing]
    for choices in quick:
        if decode(a, facts, state, choices, due_positions(a), value):
            return int(state.finish.max(initial=0))
    return None


def build_for(
    book: Book, request: Request, days: int | None, known: Known | None = None
) -> Problem:
    """Build a problem as it is asked for, over so many days."""
    problem = build_problem(
        book,
        horizon_days=days,
        committed=request.committed,
        rearrange=request.rearrange,
        released=request.released,
        known=known,
    )
    return problem if request.overtime else without_choice(problem)


def _needed_days(compilation: Compilation, last: int) -> int:
    """Days from now to the last finish of a quick plan, and some to spare."""
    axis, problem = compilation.problem.axis, compilation.problem
    days = (axis.local(last).date() - axis.local(problem.now).date()).days
    return int(max(0, days) * 1.15) + SPARE_DAYS + 2 * problem.buffer_days
