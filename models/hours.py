"""Labor hours from quantities, derived line by line.

hours of a line = quantity x factor x hours per unit x (1 + allowance). The allowance
is a share of job time here, never of the working day; `share_of_job` converts. Where a
yard accepted another standard for a step (`models.standards`), the lines of the step
are followed by one for the difference.
Hours are kept unrounded; only what is shown is rounded, so that it adds up.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from models.boat import BoatModel, WorkLine
from models.learning import Learning, hours_share, learned
from models.orders import Order
from models.routing import RoutedOperation, route
from models.yard import Yard

UNITS = {  # suffix of a quantity's name -> unit as shown
    "m2": "m²",
    "m": "m",
    "mm": "mm",
    "ft2": "ft²",
    "ft": "ft",
    "kg": "kg",
    "l": "l",
    "count": "each",
    "plies": "plies",
    "passes": "passes",
    "colors": "colors",
}
_ROUNDING = 1e-9  # hours; 24 h / 3 people must not become 33 ticks by rounding noise


@dataclass(frozen=True, slots=True)
class HourLine:
    """One line of a derivation.

    `base_hours` is before and `hours` after the allowance, both unrounded.
    `shown_hours` is a whole number of hundredths, apportioned so that the shown lines
    of an order add up to its rounded total.
    """

    operation: str
    station: str
    text: str
    basis: str
    quantity_name: str | None
    quantity: float | None
    unit: str
    factor: float
    hours_per_unit: float
    base_hours: float
    allowance: float  # share of job time
    hours: float
    shown_hours: float


def share_of_job(share_of_day: float) -> float:
    """Convert an allowance from a share of the working day to a share of job time."""
    return share_of_day / (1 - share_of_day)


def share_of_day(share_of_job_time: float) -> float:
    """Convert an allowance from a share of job time to a share of the working day."""
    return share_of_job_time / (1 + share_of_job_time)


def normal_time(observed: float, rating: float) -> float:
    """Time that an average worker would have taken, from an observed, rated one."""
    return observed * rating


def standard_time(normal: float, allowance_share_of_job: float) -> float:
    """Normal time with an allowance stated as a share of job time."""
    return normal * (1 + allowance_share_of_job)


def base_hours(line: WorkLine, quantity: float | None) -> float:
    """Hours of a line before the allowance; fixed hours have no quantity."""
    return (1.0 if quantity is None else quantity) * line.factor * line.hours_per_unit


def whole_ticks(hours: float, crew: int, tick_minutes: int) -> int:
    """Ticks that a crew takes for some labor hours, rounded up."""
    return max(0, math.ceil((hours - _ROUNDING) * 60 / (crew * tick_minutes)))


def unit_of(quantity_name: str) -> str | None:
    """Give the unit that a quantity's name ends in, or None if it names none."""
    stem, _, suffix = quantity_name.rpartition("_")
    return UNITS.get(suffix) if stem else None


def hour_lines(
    model: BoatModel, order: Order, yard: Yard, number: int | None = None
) -> tuple[HourLine, ...]:
    """Derive an order's labor hours, line by line in the order of its routing.

    `number` is the boat's within its model (`models.learning.boat_numbers`); a model
    with a learning curve then has one more line. Without it, hours stand at the rates
    of the model's file.
    """
    routing = route(model, order)
    lines = [
        line
        for operation in routing.operations
        for line in _lines_of(operation, routing.quantities, yard)
    ]
    if model.learning is not None and number is not None:
        again = {one.code for one in order.rework}
        learned_lines = [line for line in lines if line.operation not in again]
        lines.append(_learning_line(model.learning, number, total_hours(learned_lines)))
    return _with_shown_hours(lines)


def operation_hours(
    model: BoatModel, order: Order, yard: Yard, number: int | None = None
) -> dict[str, float]:
    """Give an order's unrounded labor hours by operation code, crewless ones as 0.

    `number` as for `hour_lines`.
    """
    routing = route(model if number is None else learned(model, number), order)
    return {
        operation.code: routed_hours(operation, routing.quantities, yard.allowances)
        for operation in routing.operations
    }


def routed_hours(
    operation: RoutedOperation,
    quantities: dict[str, float],
    allowances: dict[str, float],
) -> float:
    """Labor hours of one step, unrounded."""
    share = _allowance(operation, allowances)
    hours = math.fsum(
        standard_time(base_hours(line, _quantity(line, quantities)), share)
        for line in operation.work
    )
    standard = operation.step.standard
    return hours if standard is None else hours * standard.factor


def total_hours(lines: Iterable[HourLine]) -> float:
    """Labor hours of some lines, unrounded."""
    return math.fsum(line.hours for line in lines)


def in_hundredths(values: Sequence[float]) -> tuple[int, ...]:
    """Round values to hundredths so that they add up to their rounded total.

    Each value is cut to whole hundredths; those with the largest remainders get the
    hundredths that are then missing from the total.
    """
    exact = [value * 100 for value in values]
    cut = [math.floor(value) for value in exact]
    missing = round(math.fsum(exact)) - sum(cut)
    by_remainder = sorted(
        range(len(exact)), key=lambda index: cut[index] - exact[index]
    )
    for index in by_remainder[:missing]:
        cut[index] += 1
    return tuple(cut)


def _quantity(line: WorkLine, quantities: dict[str, float]) -> float | None:
    return None if line.quantity is None else quantities[line.quantity]


def _allowance(operation: RoutedOperation, allowances: dict[str, float]) -> float:
    name = operation.step.allowance
    return 0.0 if name is None else allowances[name]


def _lines_of(
    operation: RoutedOperation, quantities: dict[str, float], yard: Yard
) -> list[HourLine]:
    lines = [_hour_line(operation, one, quantities, yard) for one in operation.work]
    standard = operation.step.standard
    if standard is not None and lines:
        hours = total_hours(lines)
        change = round(standard.factor - 1, 6)
        lines.append(_change_line(operation, standard.text, hours, change))
    return lines


def _change_line(
    operation: RoutedOperation, text: str, hours: float, change: float
) -> HourLine:
    """What an accepted standard adds to the hours of a step, or takes from them."""
    place = (operation.code, operation.step.station)
    return _share_line(place, text, "re-estimated", hours, change)


def _share_line(
    place: tuple[str, str], text: str, basis: str, hours: float, change: float
) -> HourLine:
    """A line that changes hours by a share of them; `place` is step and station."""
    return HourLine(
        operation=place[0],
        station=place[1],
        text=text,
        basis=basis,
        quantity_name=None,
        quantity=hours,
        unit="h",
        factor=change,
        hours_per_unit=1.0,
        base_hours=hours * change,
        allowance=0.0,
        hours=hours * change,
        shown_hours=0.0,
    )


def _hour_line(
    operation: RoutedOperation,
    line: WorkLine,
    quantities: dict[str, float],
    yard: Yard,
) -> HourLine:
    quantity = _quantity(line, quantities)
    base = base_hours(line, quantity)
    share = _allowance(operation, yard.allowances)
    return HourLine(
        operation=operation.code,
        station=operation.step.station,
        text=line.text,
        basis=line.basis,
        quantity_name=line.quantity,
        quantity=quantity,
        unit="h" if line.quantity is None else unit_of(line.quantity) or "",
        factor=line.factor,
        hours_per_unit=line.hours_per_unit,
        base_hours=base,
        allowance=share,
        hours=standard_time(base, share),
        shown_hours=0.0,
    )


def _learning_line(learning: Learning, number: int, hours: float) -> HourLine:
    """What learning takes from the hours of all steps, as one line."""
    change = hours_share(learning, number) - 1
    text = (
        f"Boat {number} of the model: {learning.curve} curve, {learning.rate * 100:g} %"
    )
    return _share_line(("all steps", ""), text, "learning", hours, change)


def _with_shown_hours(lines: Sequence[HourLine]) -> tuple[HourLine, ...]:
    shown = in_hundredths([line.hours for line in lines])
    return tuple(
        replace(line, shown_hours=hundredths / 100)
        for line, hundredths in zip(lines, shown, strict=True)
    )
