"""Materials in words: bills, needs by week, and what missing items put at stake."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any

from models.hours import unit_of
from models.materials import MATERIAL_UNITS
from scheduler.commands.common import plural, table
from scheduler.needs import Need, by_week
from scheduler.report import WEEKS_SHOWN, week_label

if TYPE_CHECKING:
    from models.materials import Material
    from models.orders import Order
    from scheduler.shortages import Missing

_CHEMICALS = {"gel coat", "resin", "catalyst"}
CAUTION = (
    "Caution: amounts are an aid, the data sheets decide. Keep catalyst cool and apart",
    "from heat, sun and other materials, at the station only what the day needs, and",
    "never mix it directly with accelerator. Follow local codes and licensed practice.",
)


def bill_lines(order: Order, rows: Sequence[Need]) -> list[str]:
    """One order's bill of materials, line by line, with days of need where planned."""
    planned = any(one.needed is not None for one in rows)
    heads = ["step", "material", "quantity", "by", "amount", "unit"]
    if planned:
        heads += ["needed", "order by"]
    cells = []
    for one in rows:
        line = one.line
        quantity = "-" if line.quantity is None else f"{line.quantity:g}"
        if line.quantity_name is not None:
            quantity += f" {unit_of(line.quantity_name)}"
        row = [line.operation, line.material.name, quantity, line.how]
        row += [_amount(line.amount, line.material.unit), _unit(line.material)]
        if planned:
            needed = _day(one.needed) if one.to_come else one.state
            row += [needed, _day(one.order_by)]
        cells.append(row)
    return [f"{order.order} ({order.model})", *table(heads, cells, "  r r")]


def total_lines(rows: Sequence[Need]) -> list[str]:
    """All materials of some orders, in all and still to come."""
    planned = any(one.needed is not None for one in rows)
    heads = ["material", "kind", "in all", "to come", "unit"]
    if planned:
        heads += ["first needed", "order by"]
    cells = []
    for material in materials_of(rows):
        own = [one for one in rows if one.line.material == material]
        to_come = [one for one in own if one.to_come]
        row = [material.name, material.kind]
        row += [_amount(_sum(some), material.unit) for some in (own, to_come)]
        row.append(_unit(material))
        if planned:
            first = min((one.needed for one in to_come if one.needed), default=None)
            by = min((one.order_by for one in to_come if one.order_by), default=None)
            row += [_day(first), _day(by)]
        cells.append(row)
    return table(heads, cells, "  rr")


def week_lines(rows: Sequence[Need]) -> list[str]:
    """What is still to come, by material and ISO week of need."""
    sums = by_week(rows)
    weeks = sorted({week for one in sums.values() for week in one})
    shown, later = weeks[:WEEKS_SHOWN], weeks[WEEKS_SHOWN:]
    cells = []
    for material in materials_of(rows):
        own = sums.get(material.id, {})
        row = [material.name, _unit(material)]
        row += [_amount(own.get(week, 0.0), material.unit) for week in shown]
        rest = math.fsum(own.get(week, 0.0) for week in later)
        cells.append([*row, _amount(rest, material.unit)])
    heads = ["material", "unit", *(week_label(week) for week in shown), "later"]
    return table(heads, cells, "  " + "r" * (len(shown) + 1))


def missing_lines(missing: Missing) -> list[str]:
    """Missing items, most at stake first, and what the columns mean."""
    lines = ["none: every item of arrivals.csv is here, or its step has begun"]
    if missing.shortages:
        heads = ("order", "item", "step", "needed", "comes", "late", "float", "left")
        cells = [
            (
                one.order,
                one.item,
                one.operation,
                one.needed,
                f"{one.comes} (overdue)" if one.overdue else one.comes,
                one.late_days,
                one.float_days,
                one.float_left,
            )
            for one in missing.shortages
        ]
        late = sum(one.late_days for one in missing.shortages)
        eaten = sum(one.float_days for one in missing.shortages)
        lines = [
            *table(heads, cells, "     rrr"),
            f"{late + eaten} boat-days at stake: working days on which a step waits "
            "for nothing",
            f"but its item, {late} that make boats late (late), {eaten} that float "
            "takes (float).",
            "Left: working days by which the item may come later still before the "
            "finish moves.",
        ]
    if missing.unplanned:
        lines.append(f"Not in the plan: {', '.join(missing.unplanned)}.")
    return lines


def caution_lines(rows: Iterable[Need]) -> list[str]:
    """The usual caution where gel coat, resin or catalyst are listed."""
    listed = any(one.line.material.kind in _CHEMICALS for one in rows)
    return ["", *CAUTION] if listed else []


def unplanned_line(rows: Iterable[Need]) -> list[str]:
    """Say which orders have no day of need, as the plan does not hold them."""
    names = dict.fromkeys(one.line.order for one in rows if one.needed is None)
    if not names:
        return []
    count = plural(len(names), "order")
    return [f"Not in the plan, so not in these weeks: {count} ({', '.join(names)})."]


def as_object(
    order: Order, rows: Sequence[Need], missing: Missing | None
) -> dict[str, Any]:
    """One order's bill for other programs; with a plan, its missing items as well."""
    found = missing.shortages if missing else ()
    return {
        "order": order.order,
        "model": order.model,
        "materials": [
            {
                "operation": one.line.operation,
                "material": one.line.material.id,
                "kind": one.line.material.kind,
                "quantity_name": one.line.quantity_name,
                "quantity": one.line.quantity,
                "by": one.line.how,
                "amount": one.line.amount,
                "unit": one.line.material.unit,
                "state": one.state,
                "needed": None if one.needed is None else one.needed.isoformat(),
                "order_by": None if one.order_by is None else one.order_by.isoformat(),
            }
            for one in rows
        ],
        "missing": [
            {
                "operation": one.operation,
                "item": one.item,
                "needed": one.needed.isoformat(),
                "comes": one.comes.isoformat(),
                "overdue": one.overdue,
                "late_days": one.late_days,
                "float_days": one.float_days,
                "float_left_days": one.float_left,
            }
            for one in found
            if one.order == order.order
        ],
    }


def materials_of(rows: Iterable[Need]) -> list[Material]:
    """The materials of some lines, in the order of their kind and name."""
    found = {one.line.material.id: one.line.material for one in rows}
    return sorted(found.values(), key=lambda one: (one.kind, one.name))


def _sum(rows: Iterable[Need]) -> float:
    return math.fsum(one.line.amount for one in rows)


def _amount(amount: float, unit: str) -> str:
    return f"{amount:,.0f}" if unit == "each" else f"{amount:,.1f}"


def _unit(material: Material) -> str:
    return MATERIAL_UNITS[material.unit]


def _day(day: date | None) -> str:
    return "-" if day is None else day.isoformat()
