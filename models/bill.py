"""The bill of materials of one order, line by line in the order of its routing."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from models.boat import BoatModel
from models.materials import Material, MaterialUse, amount_of, rule_text
from models.orders import Order
from models.routing import route
from models.yard import Yard

_ROUNDING = 1e-9  # pieces; 12 screws must not become 13 by rounding noise


@dataclass(frozen=True, slots=True)
class MaterialLine:
    """One use of one order: how its amount follows, in the material's unit.

    Pieces are whole: a part of one is rounded up.
    """

    order: str
    operation: str
    material: Material
    quantity_name: str | None
    quantity: float | None
    how: str
    amount: float


def material_lines(
    model: BoatModel, order: Order, yard: Yard
) -> tuple[MaterialLine, ...]:
    """List what an order uses, in the order of its own routing's steps."""
    routing = route(model, order)
    known = {one.id: one for one in yard.materials}
    by_step: dict[str, list[MaterialUse]] = {}
    for use in uses_of(model, order):
        by_step.setdefault(use.operation, []).append(use)
    return tuple(
        _line(order.order, use, known[use.material], routing.quantities)
        for step in routing.operations
        for use in by_step.get(step.code, ())
    )


def uses_of(model: BoatModel, order: Order) -> Iterator[MaterialUse]:
    """Give what an order's steps use, those of its graphics last."""
    for use in (*model.uses, *_colors(model, order)):
        if _is_taken(use, order):
            yield use


def total_by_material(lines: Iterable[MaterialLine]) -> dict[str, float]:
    """Add up amounts by material."""
    sums: dict[str, list[float]] = {}
    for line in lines:
        sums.setdefault(line.material.id, []).append(line.amount)
    return {material: math.fsum(amounts) for material, amounts in sums.items()}


def _is_taken(use: MaterialUse, order: Order) -> bool:
    wanted = use.when is None or use.when in order.options
    return wanted and (use.unless is None or use.unless not in order.options)


def _colors(model: BoatModel, order: Order) -> Iterator[MaterialUse]:
    """Give the uses of the ordered layout's colors, where these name a material."""
    for graphic in model.graphics:
        if graphic.id != order.graphics or graphic.film is None:
            continue
        for number, color in enumerate(graphic.colors, 1):
            if color.material is not None:
                stem = f"{graphic.part}.color{number}"
                yield MaterialUse(
                    f"{stem}.spray", color.material, graphic.film, f"{stem}.area_m2"
                )


def _line(
    order: str, use: MaterialUse, material: Material, known: dict[str, float]
) -> MaterialLine:
    quantity = None if use.quantity is None else known[use.quantity]
    amount = amount_of(use.rule, 1.0 if quantity is None else quantity)
    if material.unit == "each":
        amount = float(math.ceil(amount - _ROUNDING))
    return MaterialLine(
        order=order,
        operation=use.operation,
        material=material,
        quantity_name=use.quantity,
        quantity=quantity,
        how=rule_text(use.rule),
        amount=amount,
    )
