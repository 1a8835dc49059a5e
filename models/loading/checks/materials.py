"""Checks of materials: their uses against model and yard, and units that agree."""

from __future__ import annotations

from models.hours import unit_of as unit_of_quantity
from models.loading.checks.scope import BoatScope, YardScope, repeated
from models.loading.faults import quoted
from models.materials import MaterialUse, unit_of

_UNIT_OF_QUANTITY = {"film": "m²", "glass": "m²", "resin": "m²", "spacing": "m"}


def check_materials(yard: YardScope) -> None:
    """Check that each material of the yard stands there once."""
    for name in repeated(one.id for one in yard.yard.materials):
        yard.fault("materials", f"'{name}' more than once", "each once")


def check_uses(boat: BoatScope) -> None:
    """Check what a model's uses name of the model itself."""
    known = boat.known("quantities", boat.model.quantities)
    for use in boat.model.uses:
        where = f"uses.{use.operation}"
        boat.refer(where, use.operation, boat.codes, "an operation")
        boat.refer(f"{where}.when", use.when, boat.option_ids, "an option")
        boat.refer(f"{where}.unless", use.unless, boat.option_ids, "an option")
        noun = "a quantity of this model"
        if boat.refer(f"{where}.quantity", use.quantity, known, noun):
            _check_quantity(f"{where}.quantity", use, boat)


def check_uses_in_yard(boat: BoatScope, yard: YardScope) -> None:
    """Check that each material used is one of the yard's, in the same unit."""
    units = {one.id: one.unit for one in yard.yard.materials}
    known = yard.known("materials", units)
    noun = f"a material of {yard.file}"
    for use in boat.model.uses:
        where = f"uses.{use.operation}.material"
        counted = unit_of(use.rule)
        if (
            boat.refer(where, use.material, known, noun)
            and units.get(use.material, counted) != counted
        ):
            found = f"{quoted(use.material)} in {counted}"
            boat.fault(where, found, f"its unit in {yard.file}: {units[use.material]}")
    for graphic in boat.model.graphics:
        for color in graphic.colors:
            where = f"graphics.{graphic.id}.colors.{color.name}.material"
            if (
                boat.refer(where, color.material, known, noun)
                and color.material is not None
                and units.get(color.material, "kg") != "kg"
            ):
                found = f"{quoted(color.material)} in {units[color.material]}"
                boat.fault(where, found, "a material in kg")


def _check_quantity(where: str, use: MaterialUse, boat: BoatScope) -> None:
    wanted = _UNIT_OF_QUANTITY.get(use.rule.by)
    if use.quantity is None or wanted is None:
        return
    if unit_of_quantity(use.quantity) != wanted:
        expected = f"a quantity in {wanted} for by = '{use.rule.by}'"
        boat.fault(where, quoted(use.quantity), expected)
