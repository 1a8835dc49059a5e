"""When a plan needs which material: the planned start of the step that uses it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from models.bill import MaterialLine, material_lines
from models.errors import UsageError
from scheduler.levels import week_of

if TYPE_CHECKING:
    from models.orders import Book, Order
    from scheduler.plan import Plan


@dataclass(frozen=True, slots=True)
class Need:
    """One line of a bill of materials with the local day on which it is needed.

    `state` is done or started where the step is, and its material therefore used or
    handed out; otherwise to come. `needed` is None where no plan holds the step.
    """

    line: MaterialLine
    state: str  # done | started | to come
    needed: date | None

    @property
    def to_come(self) -> bool:
        """Whether the material is still to be had."""
        return self.state == "to come"

    @property
    def order_by(self) -> date | None:
        """Last day on which to order it, where need and lead time are known."""
        lead = self.line.material.lead_days
        if self.needed is None or lead is None or not self.to_come:
            return None
        return self.needed - timedelta(days=lead)


def needs(book: Book, orders: Iterable[Order], plan: Plan | None) -> tuple[Need, ...]:
    """List what some orders of a book need, in the order of their routings.

    Without a plan the book's own work in hand says what is done or begun.

    Raises
    ------
    UsageError
        If the plan holds an order but not its steps: it was made from other data.
    """
    found: list[Need] = []
    states = {(one.order, one.operation): one.state for one in book.in_hand}
    starts: Mapping[str, date] = {}
    planned: set[str] = set()
    if plan is not None:
        axis = plan.problem.axis
        starts = {
            one.operation: axis.local(one.start).date()
            for one in plan.answer.operations
        }
        planned = {one.order for one in plan.problem.orders}
    for order in orders:
        for line in material_lines(book.models[order.model], order, book.yard):
            step = f"{line.order}/{line.operation}"
            if line.order in planned and step not in starts:
                raise UsageError(
                    f"the plan does not hold {step}: it was made from other data; "
                    "make a new one with `hullpace plan`"
                )
            state = states.get((line.order, line.operation), "to come")
            found.append(Need(line, state, starts.get(step)))
    return tuple(found)


def by_week(rows: Iterable[Need]) -> dict[str, dict[date, float]]:
    """Amount still to come by material and by the Monday of the week of need."""
    parts: dict[str, dict[date, list[float]]] = {}
    for one in rows:
        if one.to_come and one.needed is not None:
            weeks = parts.setdefault(one.line.material.id, {})
            weeks.setdefault(week_of(one.needed), []).append(one.line.amount)
    return {
        material: {week: math.fsum(amounts) for week, amounts in weeks.items()}
        for material, weeks in parts.items()
    }
