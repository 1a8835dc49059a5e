"""Re-preparations where what is begun leaves no way to keep a maximum wait.

`scheduler.building` puts in those whose window has run out by now. A window may be as
good as lost before: the people are away until it ends, or a step that has to come in
between lasts too long. Whether it is can be told from the boat alone: what it cannot do
in an empty yard it cannot do in a full one either.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import chain
from typing import TYPE_CHECKING

import numpy as np

from models.errors import DataFaults
from models.orders import Book, Order
from scheduler.building.build import build_problem
from scheduler.building.reprep import with_needed_reprep
from scheduler.compiling.compile import compile_problem
from scheduler.cp_model.model import solve
from scheduler.decoding.decoder import (
    VALUES,
    decode,
    due_positions,
    facts_state,
    new_state,
    open_boats,
)
from scheduler.searching.chain import new_choices

if TYPE_CHECKING:
    from scheduler.compiling.arrays import Arrays
    from scheduler.problem import Problem, Wait

SOLVER_SECONDS = 60.0  # a stop for what hangs
SOLVER_WORK = 20.0
"""The solver's own time for one boat; without an answer by then, a window stays."""


def with_missed_windows(book: Book) -> Book:
    """The book with a re-preparation for each wait that cannot be kept any more.

    Only waits whose first step is done or begun and whose second is not; each other
    wait stays hard. Of several, one is given up if that is enough, the first in the
    order of the routing that is. The same book where nothing is to be put in.
    """
    for order in book.orders:
        if _is_open(book, order):
            book = _repaired(book, order)
    return book


def _is_open(book: Book, order: Order) -> bool:
    """Whether some wait of an order with a re-preparation has begun and not ended."""
    begun = {row.operation for row in book.in_hand if row.order == order.order}
    return any(
        wait.before in begun and wait.after not in begun
        for wait in book.models[order.model].waits
        if wait.reprep is not None and wait.reprep not in order.reprep
    )


def _repaired(book: Book, order: Order) -> Book:
    """The book with what one order needs."""
    alone = _alone(book, order)
    try:
        problem = build_problem(alone)
    except DataFaults:
        return book  # planning builds the same rows, and lists their faults
    if _has_plan(problem):
        return book
    open_waits = [one for one in problem.waits if _is_running(problem, one)]
    for chosen in chain(([one] for one in open_waits), [open_waits]):
        repaired = with_needed_reprep(alone, chosen)
        if repaired != alone and _has_plan(build_problem(repaired)):
            return with_needed_reprep(book, chosen)
    return book


def _alone(book: Book, order: Order) -> Book:
    """The book of one order in an empty yard."""
    name = order.order
    return replace(
        book,
        orders=(order,),
        arrivals=tuple(one for one in book.arrivals if one.order == name),
        in_hand=tuple(one for one in book.in_hand if one.order == name),
        locks=tuple(one for one in book.locks if one.order == name),
        jobs=(),
    )


def _is_running(problem: Problem, wait: Wait) -> bool:
    """Whether a wait has a maximum, has begun, and its later step has not."""
    begun = {one.operation: one.why for one in problem.committed}
    return (
        wait.kept_maximum_minutes is not None
        and begun.get(wait.before) in ("done", "started")
        and begun.get(wait.after) not in ("done", "started")
    )


def _has_plan(problem: Problem) -> bool:
    """Whether there is a plan; also if the solver could not tell in its time."""
    compilation = compile_problem(problem)
    if _is_decoded(compilation.arrays):
        return True
    answer = solve(
        compilation,
        hint=None,
        seconds=SOLVER_SECONDS,
        workers=1,
        deterministic_limit=SOLVER_WORK,
    )
    return answer.status != "infeasible"


def _is_decoded(a: Arrays) -> bool:
    """Whether the decoder places what is free, as soon as it can."""
    facts, sound = facts_state(a)
    if not sound:
        return False
    state, value = new_state(a), np.zeros(VALUES, np.int64)
    choices = new_choices(a, open_boats(a))
    return bool(decode(a, facts, state, choices, due_positions(a), value))
