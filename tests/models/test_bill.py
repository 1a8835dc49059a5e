"""The bill of materials of one order."""

from __future__ import annotations

from dataclasses import replace

import pytest

from models.bill import MaterialLine, material_lines, total_by_material
from models.boat import BoatModel
from models.materials import (
    Film,
    Material,
    MaterialUse,
    PerUnit,
    ResinForGlass,
    Spacing,
)
from tests.models.tiny import order_of, skiff, tiny_yard

YARD = replace(
    tiny_yard(),
    materials=(
        Material("coat", "Gel coat", "gel coat", "kg"),
        Material("resin", "Resin", "resin", "kg", 10),
        Material("screw", "Screw", "fasteners", "each"),
        Material("engine", "Outboard", "engine", "each", 56),
    ),
)
USES = (
    MaterialUse("final.rig", "engine", PerUnit(1, "each"), "engine_count"),
    MaterialUse("final.rig", "screw", Spacing(3), "harness_length_m"),
    MaterialUse("final.rig", "screw", PerUnit(12, "each"), when="hard-top"),
    MaterialUse("final.rig", "screw", PerUnit(4, "each"), unless="hard-top"),
    MaterialUse("hull.laminate", "resin", ResinForGlass(3, 450, 0.3), "hull_area_m2"),
)


def boat() -> BoatModel:
    """The skiff with its uses, and colors that are gel coat."""
    (sweep,) = skiff().graphics
    colors = tuple(replace(color, material="coat") for color in sweep.colors)
    film = Film(20, 1.2, 0.25)
    graphics = (replace(sweep, film=film, colors=colors),)
    return replace(skiff(), uses=USES, graphics=graphics)


def bill(*options: str, graphics: str | None = None) -> tuple[MaterialLine, ...]:
    """The bill of an order of it."""
    return material_lines(boat(), order_of(*options, graphics=graphics), YARD)


def test_lines_follow_the_routing() -> None:
    """Lines come in the order of the steps and name quantity and amount."""
    lines = bill()
    assert [one.operation for one in lines] == ["hull.laminate", *["final.rig"] * 3]
    assert (lines[0].quantity_name, lines[0].quantity) == ("hull_area_m2", 14)
    assert lines[0].amount == pytest.approx(14 * 3 * 0.45 / 0.3 * 0.7)
    assert (lines[0].order, lines[0].material.id) == ("T-1", "resin")


def test_pieces_are_whole() -> None:
    """A part of a piece is a whole one to buy; what is exact stays exact."""
    screws = [one.amount for one in bill() if one.material.id == "screw"]
    assert screws == [394, 4]  # 30 m / 0.0762 m is 393.7
    exact = MaterialUse("final.rig", "screw", PerUnit(0.1, "each"), "harness_length_m")
    model = replace(boat(), uses=(exact,))
    (line,) = material_lines(model, order_of(), YARD)
    assert line.amount == 3


def test_options_bring_and_replace_uses() -> None:
    """A use with `when` comes with the option, one with `unless` goes."""
    with_top = [one.amount for one in bill("hard-top") if one.material.id == "screw"]
    assert with_top == [394, 12]


def test_colors_are_gel_coat() -> None:
    """Each color of the ordered layout takes its own area of film."""
    coats = [one for one in bill(graphics="sweep") if one.material.id == "coat"]
    assert [one.operation for one in coats] == [
        "hull.color1.spray",
        "hull.color2.spray",
    ]
    one_square_meter = 20 * 0.0254 * 1.2 / 0.75
    amounts = [one.amount for one in coats]
    assert amounts == pytest.approx([2 * one_square_meter, one_square_meter])
    assert not any(one.material.id == "coat" for one in bill())


def test_totals_add_up() -> None:
    """Lines of one material come to its total."""
    totals = total_by_material(bill("hard-top"))
    assert totals == {"resin": pytest.approx(44.1), "screw": 406, "engine": 1}
