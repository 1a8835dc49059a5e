"""Checks inside `boats/MODEL.toml`, and of the names it takes from the yard."""

from __future__ import annotations

import pytest

from tests.models.loading.conftest import TinyYard

BOAT = "boats/skiff-16.toml"
PREP = 'code = "hull.prep"\nname = "Prepare the mold"\n'


@pytest.mark.parametrize(
    ("old", "new", "where", "found"),
    [
        ('id = "skiff-16"', 'id = "skiff-61"', "id", "'skiff-61'"),
        ('parts = ["hull"]', 'parts = ["hul"]', "hull.prep.parts", "'hul'"),
        (PREP, PREP + 'when = "x"\n', "operations.hull.prep.when", "'x'"),
        (PREP, PREP + 'unless = "x"\n', "operations.hull.prep.unless", "'x'"),
        (PREP, PREP + 'calendar = "x"\n', "operations.hull.prep.calendar", "'x'"),
        ('station = "floor"', 'station = "flor"', "hull.prep.station", "'flor'"),
        ('skill = "laminate"', 'skill = "laminat"', "hull.prep.skill", "'laminat'"),
        ('allowance = "shop"', 'allowance = "ship"', "prep.allowance", "'ship'"),
        (PREP, PREP + 'demands = [{ station = "x" }]\n', "prep.demands", "'x'"),
        (
            PREP,
            PREP + 'demands = [{ station = "booth", amount = 2 }]\n',
            "operations.hull.prep.demands",
            "2 of booth",
        ),
        (
            PREP,
            PREP + 'demands = [{ station = "bays" }]\n',
            "operations.hull.prep.demands",
            "bays without a capacity",
        ),
        (
            PREP,
            PREP + 'demands = [{ station = "booth" }, { station = "booth" }]\n',
            "operations.hull.prep.demands",
            "'booth' more than once",
        ),
        (
            'before = "hull.prep", after = "hull.gel_coat" }',
            'before = "hull.perp", after = "hull.gel_coat" }',
            "waits.hull.perp to hull.gel_coat.before",
            "'hull.perp'",
        ),
        (
            'basis = "fixed", hours_per_unit = 9',
            'basis = "fixed", quantity = "engine_count", hours_per_unit = 9',
            "operations.hull.demold.work.Lift and inspect",
            "'engine_count'",
        ),
        (
            'basis = "count", quantity = "engine_count"',
            'basis = "count"',
            "operations.final.rig.work.Hang the engine",
            "no quantity",
        ),
        (
            'quantity = "harness_length_m"',
            'quantity = "hull_area_m2"',
            "operations.final.rig.work.Pull the harness",
            "'hull_area_m2'",
        ),
        ('excludes = ["hard-top"]', 'excludes = ["top"]', "canvas-top.exc", "'top'"),
        ('requires = ["hard-top"]', 'requires = ["top"]', "top-lights.req", "'top'"),
        (
            'operation = "final.rig"',
            'operation = "final.rag"',
            "options.hard-top.adds",
            "'final.rag'",
        ),
        ('part = "hull"\nafter', 'part = "deck"\nafter', "sweep.part", "'deck'"),
        ('after = "hull.prep"\n', 'after = "hull.pre"\n', "sweep.after", "'hull.pre'"),
        (
            "min_hours = 3, max_hours = 96",
            "min_hours = 3.1, max_hours = 3.2",
            "waits.hull.gel_coat to hull.laminate",
            "3.1 to 3.2 h",
        ),
        (
            'id = "hard-top"',
            'id = "canvas-top"',
            "options",
            "'canvas-top' more than once",
        ),
    ],
)
def test_refused(tiny: TinyYard, old: str, new: str, where: str, found: str) -> None:
    """A name that nothing has, or a line that cannot be meant, is a fault."""
    tiny.replace(BOAT, old, new)
    told = [one for one in tiny.faults() if one.file == BOAT and where in one.where]
    assert found in " ".join(fault.found for fault in told)


def test_demands_of_a_station_with_a_capacity(tiny: TinyYard) -> None:
    """A step may take what a station has."""
    tiny.replace(BOAT, PREP, PREP + 'demands = [{ station = "booth" }]\n')
    assert tiny.faults() == ()


def test_codes_kept_for_colors(tiny: TinyYard) -> None:
    """A step may not be called as a color of a layout would be."""
    path = tiny.folder / BOAT
    text = path.read_text(encoding="utf-8")
    text = text.replace("hull.laminate", "hull.color1.spray")
    path.write_text(text, encoding="utf-8")
    tiny.replace("in_hand.csv", "hull.laminate", "hull.color1.spray")
    fault = tiny.fault()
    assert fault.where == "operations.hull.color1.spray"


def test_layouts_hang_between_steps_of_every_boat(tiny: TinyYard) -> None:
    """A layout may not depend on a step that some boats do not have."""
    tiny.replace(BOAT, 'code = "hull.gel_coat"\n', 'code = "hull.gel_coat"\nX')
    tiny.replace(BOAT, "X", 'unless = "canvas-top"\n')
    told = [one.found for one in tiny.faults() if "graphics" in one.where]
    assert told == ["'hull.gel_coat', which depends on the option 'canvas-top'"]


def test_hours_of_a_color(tiny: TinyYard) -> None:
    """A color's hours have the same limit as those of a step."""
    tiny.replace(BOAT, "mask_hours_per_m = 0.1", "mask_hours_per_m = 400")
    told = [(one.where, one.expected) for one in tiny.faults()]
    assert told == [("graphics.sweep", "at most 2,000")]
