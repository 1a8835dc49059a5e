"""What moves inside the frozen window, and why; and what else must give way.

Work that facts make impossible is free, with what waits for it in its own order. Where
that leaves no plan at all, the work of other orders that stands in the way is freed
too: first what comes after in the same molds and places, in the end everything that
has not begun.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from scheduler.building.commitment import FACTS, standing
from scheduler.plan import Move, Plan, Planned

if TYPE_CHECKING:
    from collections.abc import Sequence

    from scheduler.problem import Problem

BEHIND = "the mold or place it needs is held longer by work that had to move"
NO_WAY = "no plan was left around work that had to move"


def releases(
    problem: Problem, plan: Plan, *, rearrange: bool
) -> Iterator[dict[str, str]]:
    """What to free beside that which facts free, less first; operations with causes.

    Nothing where no work has begun and facts free nothing: then the committed plan is
    not what stands in the way.
    """
    moved = standing(problem, plan, rearrange=rearrange).moved
    facts = {one.operation for one in problem.committed if one.why in FACTS}
    if not moved and not facts:
        return
    rows = {one.operation: one for one in plan.answer.operations}
    by = problem.axis.tick_floor(plan.problem.axis.start)
    behind = dict.fromkeys(_behind(problem, rows, {*moved, *facts}, by), BEHIND)
    if behind:
        yield behind
    yield {name: behind.get(name, NO_WAY) for name in rows}


def _behind(
    problem: Problem, rows: Mapping[str, Planned], gone: set[str], by: int
) -> Iterator[str]:
    """Work of other orders that begins later in a mold or place of what had to move."""
    order_of = {one.id: one.order for one in problem.operations}
    held: dict[str, int] = {}
    for name in gone & rows.keys():
        for resource in _resources(rows[name]):
            held[resource] = min(held.get(resource, rows[name].start), rows[name].start)
    orders = {order_of[name] for name in gone if name in order_of}
    for name, row in rows.items():
        if order_of.get(name) in orders or name not in order_of:
            continue
        if row.start + by < problem.now:
            continue
        since = [held[one] for one in _resources(row) if one in held]
        if since and row.start >= min(since):
            yield name


def _resources(row: Planned) -> tuple[str, ...]:
    return tuple(one for one in (row.mold, row.place) if one is not None)


def list_moves(
    problem: Problem, causes: Mapping[str, str], operations: Sequence[Planned]
) -> tuple[Move, ...]:
    """Published work of the frozen window that starts elsewhere now, with its cause."""
    now = {one.operation: one.start for one in operations}
    return tuple(
        Move(one.operation, one.start, now[one.operation], causes[one.operation])
        for one in problem.published
        if one.start < problem.frozen_until
        and one.operation in causes
        and now.get(one.operation, one.start) != one.start
    )
