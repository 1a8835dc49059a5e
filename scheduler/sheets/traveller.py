"""What is on a traveller: one boat from its first step to its last."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from models.errors import UsageError
from scheduler.sheets.releases import Release, releases_of

if TYPE_CHECKING:
    from scheduler.sheets.floor import Floor


@dataclass(frozen=True, slots=True)
class Stop:
    """One step of a boat: instants are ticks, hours are standard labor-hours.

    `state` is done, started or planned. Nobody is named: the page goes with the boat.
    """

    number: int
    operation: str
    start: int
    finish: int
    hours: float
    crew: int
    state: str
    releases: tuple[Release, ...]


@dataclass(frozen=True, slots=True)
class Traveller:
    """One boat, its dates and every step, in the order in which they begin."""

    order: str
    model: str
    promised: str | None
    proposed: str | None
    finish: int
    tardy_days: int
    stops: tuple[Stop, ...]


def traveller(floor: Floor, order: str) -> Traveller:
    """Lay out the traveller of one boat.

    Raises
    ------
    UsageError
        If the plan has no such order.
    """
    results = {one.order: one for one in floor.plan.answer.orders}
    if order not in floor.orders or order not in results:
        raise UsageError(f"no order {order} in this plan")
    rows = [
        row
        for row in floor.planned.values()
        if floor.operations[row.operation].order == order
    ]
    rows.sort(key=lambda row: (row.start, row.finish, row.operation))
    known, result = floor.orders[order], results[order]
    return Traveller(
        order=order,
        model=known.model,
        promised=known.promised,
        proposed=result.proposed,
        finish=result.finish,
        tardy_days=result.tardy_days,
        stops=tuple(
            Stop(
                number=number,
                operation=row.operation,
                start=row.start,
                finish=row.finish,
                hours=floor.operations[row.operation].labor_hours,
                crew=row.crew,
                state=_state(floor, row.operation),
                releases=releases_of(floor, row.operation),
            )
            for number, row in enumerate(rows, 1)
        ),
    )


def _state(floor: Floor, operation: str) -> str:
    why = floor.given.get(operation, "planned")
    return why if why in {"done", "started"} else "planned"
