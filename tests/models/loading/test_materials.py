"""`materials` and `uses`: what one entry must satisfy, and what it becomes."""

from __future__ import annotations

import pytest

from models.boat import GraphicColor
from models.loading import load_book
from models.materials import Film, Glass, Material, MaterialUse, PerUnit, Spacing
from tests.models.loading.conftest import TinyYard

BOAT = "boats/skiff-16.toml"
MATERIALS = """
[[materials]]
id = "coat"
name = "Gel coat"
kind = "gel coat"
unit = "kg"
lead_days = 14

[[materials]]
id = "screw"
name = "Screw"
kind = "fasteners"
unit = "each"
"""


def with_uses(tiny: TinyYard, *uses: str) -> None:
    """Give the yard two materials, and its boat some uses."""
    yard = tiny.folder / "yard.toml"
    yard.write_text(yard.read_text(encoding="utf-8") + MATERIALS, encoding="utf-8")
    rows = "".join(f"  {{ {one} }},\n" for one in uses)
    tiny.replace(BOAT, "[quantities]", f"uses = [\n{rows}]\n\n[quantities]")


def test_everything_is_read(tiny: TinyYard) -> None:
    """The plain data say what the files say."""
    with_uses(
        tiny,
        'material = "coat", operation = "hull.gel_coat", by = "film", '
        'quantity = "hull_area_m2", film_mil = 20, density_kg_per_l = 1.2, '
        "lost_share_of_sprayed = 0.25",
        'material = "coat", operation = "hull.laminate", by = "glass", '
        'quantity = "hull_area_m2", plies = 2, ply_grams_per_m2 = 450',
        'material = "screw", operation = "final.rig", by = "spacing", '
        'quantity = "harness_length_m", spacing_inches = 3, when = "hard-top"',
        'material = "screw", operation = "final.rig", by = "unit", '
        'count_per_unit = 12, waste_share = 0.1, unless = "hard-top"',
    )
    book = load_book(tiny.folder)
    assert book.yard.materials == (
        Material("coat", "Gel coat", "gel coat", "kg", 14),
        Material("screw", "Screw", "fasteners", "each"),
    )
    assert book.models["skiff-16"].uses == (
        MaterialUse("hull.gel_coat", "coat", Film(20, 1.2, 0.25), "hull_area_m2"),
        MaterialUse("hull.laminate", "coat", Glass(2, 450), "hull_area_m2"),
        MaterialUse("final.rig", "screw", Spacing(3), "harness_length_m", "hard-top"),
        MaterialUse("final.rig", "screw", PerUnit(12, "each", 0.1), unless="hard-top"),
    )


def test_colors_have_a_film(tiny: TinyYard) -> None:
    """A layout's film is that of its colors; a color may name no material."""
    with_uses(tiny)
    tiny.replace(
        BOAT, "mask_length_m = 12 }", 'mask_length_m = 12, material = "coat" }'
    )
    film = "window_max_hours = 30\nfilm_mil = 18\ndensity_kg_per_l = 1.1\n"
    tiny.replace(BOAT, "window_max_hours = 30\n", film)
    (sweep,) = load_book(tiny.folder).models["skiff-16"].graphics
    assert sweep.film == Film(18, 1.1, 0)
    assert sweep.colors[0] == GraphicColor("signal red", 2, 12, "coat")
    assert sweep.colors[1].material is None


@pytest.mark.parametrize(
    ("use", "where", "said"),
    [
        ('by = "film", film_mil = 9, density_kg_per_l = 1', "uses.final.rig", "a qu"),
        ('by = "unit", kg_per_unit = 1, when = "top"', "uses.final.rig.when", "an opt"),
        ('by = "unit", kg_per_unit = 0', "uses.final.rig.kg_per_unit", "more than 0"),
        ('by = "unit", kg_per_unit = 1, waste_share = 2',
         "uses.final.rig.waste_share", "at most 1"),
        ('by = "weight", kg_per_unit = 1', "uses.final.rig.by", "'film', 'glass'"),
        ('by = "unit", kg_per_unit = 1, when = "hard-top", unless = "hard-top"',
         "uses.final.rig", "two different options"),
    ],
)  # fmt: skip
def test_a_wrong_use(tiny: TinyYard, use: str, where: str, said: str) -> None:
    """Each kind of slip is one fault at its own place."""
    with_uses(tiny, f'material = "coat", operation = "final.rig", {use}')
    fault = tiny.fault()
    assert fault.where == where
    assert said in fault.expected


def test_a_color_takes_a_material_in_kilograms(tiny: TinyYard) -> None:
    """A color that is counted in pieces or unknown is a fault of the layout."""
    with_uses(tiny)
    film = "window_max_hours = 30\nfilm_mil = 18\ndensity_kg_per_l = 1.1\n"
    tiny.replace(BOAT, "window_max_hours = 30\n", film)
    for name in ("screw", "coal"):
        end = f'mask_length_m = 12, material = "{name}" }}'
        tiny.replace(BOAT, "mask_length_m = 12 }", end)
    found = [(fault.where, fault.expected) for fault in tiny.faults()]
    assert found == [
        ("graphics.sweep.colors.signal red.material", "a material in kg"),
        (
            "graphics.sweep.colors.navy.material",
            "a material of yard.toml; did you mean 'coat'?",
        ),
    ]
