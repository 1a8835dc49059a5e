"""`boats/MODEL.toml`: what one entry must satisfy, and what its defaults are."""

from __future__ import annotations

import pytest

from models.boat import AddedWork, Part, RoutingWait, WorkLine
from models.loading import load_book
from models.loading.boats import implausible
from tests.models.loading.conftest import TinyYard
from tests.models.tiny import skiff

BOAT = "boats/skiff-16.toml"


def test_everything_is_read() -> None:
    """The plain data say what the file says."""
    model = skiff()
    assert (model.id, model.name, model.length_ft) == ("skiff-16", "Skiff 16", 16)
    assert model.parts == (
        Part(
            "hull",
            "Hull",
            "hull.prep",
            "hull.demold",
            "bay",
            "hull.demold",
            "final.detail",
        ),
    )
    assert model.waits[2] == RoutingWait(
        "cure",
        "hull.laminate",
        "hull.demold",
        min_hours=48,
        data_sheet_min_hours=48,
    )
    coat = model.operations[1]
    assert (coat.crew_min, coat.crew_max, coat.skill) == (2, 2, "laminate")
    assert coat.one_go
    assert coat.exclusive_part
    assert coat.caution == "gel_coat"
    assert coat.work == (
        WorkLine("Spray two passes", "area", 0.08, "hull_area_m2", 2.0),
    )
    assert model.options[1].adds == (
        AddedWork("final.rig", WorkLine("Fit the hard top", "fixed", 6.0)),
    )
    assert [color.name for color in model.graphics[0].colors] == ["signal red", "navy"]


def test_work_clock_has_a_calendar(tiny: TinyYard) -> None:
    """A wait on the work clock counts on the delivery calendar unless it names one."""
    sequence = '{ kind = "sequence", before = "final.rig", after = "final.detail" }'
    on_work = sequence.replace(" }", ', min_hours = 2, clock = "work" }')
    tiny.replace(BOAT, sequence, on_work)
    waits = load_book(tiny.folder).models["skiff-16"].waits
    assert [wait.calendar for wait in waits] == [None, None, None, None, "shop"]


def test_step_without_crew(tiny: TinyYard) -> None:
    """A step may run by itself for some hours, without people."""
    text = (tiny.folder / BOAT).read_text(encoding="utf-8")
    head, tail = text.split('code = "final.detail"')
    detail, rest = tail.split("[[graphics]]")
    detail = '\nname = "Air out"\nparts = ["hull"]\nstation = "bays"\n'
    detail += "duration_hours = 6\n\n"
    tiny.write(BOAT, head + 'code = "final.detail"' + detail + "[[graphics]]" + rest)
    step = load_book(tiny.folder).models["skiff-16"].operations[-1]
    assert (step.skill, step.crew_min, step.crew_max) == (None, 0, 0)
    assert step.duration_hours == 6


@pytest.mark.parametrize(
    ("old", "new", "where", "found"),
    [
        ("length_ft = 16", "length_ft = 160", "length_ft", "160"),
        ("crew = [1, 2]", "crew = [2, 1]", "operations.hull.prep.crew", "[2, 1]"),
        ("crew = [1, 2]", "crew = [0, 2]", "operations.hull.prep.crew.1", "0"),
        ("crew = [1, 2]\n", "", "operations.hull.prep", "a skill without crew or work"),
        (
            "crew = [1, 2]\n",
            "crew = [1, 2]\nduration_hours = 3\n",
            "operations.hull.prep",
            "a skill with duration_hours",
        ),
        (
            'skill = "laminate"\n',
            "",
            "operations.hull.prep",
            "crew or work without a skill",
        ),
        (
            "crew = [1, 2]\n",
            'crew = [1, 2]\nwhen = "hard-top"\nunless = "hard-top"\n',
            "operations.hull.prep",
            "'hard-top' in both",
        ),
        ("hours_per_unit = 0.2 ", "hours_per_unit = 0 ", "hours_per_unit", "0"),
        ("hours_per_unit = 0.2 ", "hours_per_unit = inf ", "hours_per_unit", "inf"),
        ('basis = "area"', 'basis = "volume"', "basis", "'volume'"),
        ('caution = "gel_coat"', 'caution = "gelcoat"', "caution", "'gelcoat'"),
        ('kind = "cure"', 'kind = "wait"', "kind", "'wait'"),
        (
            'kind = "cure"',
            'clock = "work", kind = "cure"',
            "waits.hull.laminate to hull.demold",
            "clock 'work'",
        ),
        (
            "min_hours = 3, max_hours = 96",
            'clock = "wall"',
            "waits.hull.gel_coat to hull.laminate",
            "neither min_hours nor max_hours",
        ),
        (
            'before = "final.rig", after = "final.detail"',
            'before = "final.rig", after = "final.rig"',
            "waits.final.rig to final.rig",
            "'final.rig' in before and after",
        ),
        ('mold_to = "hull.demold", ', "", "parts.hull", "mold_from alone"),
        ('place_kind = "bay", ', "", "parts.hull", "2 of them"),
        ('requires = ["hard-top"]', 'requires = ["top-lights"]', "options", "itself"),
        (
            "tack_max_hours = 12",
            "tack_max_hours = 0.5",
            "graphics.sweep",
            "tack_max_hours 0.5",
        ),
        ("area_m2 = 2.0, ", "area_m2 = -2.0, ", "graphics.sweep.colors", "-2.0"),
    ],
)
def test_refused(tiny: TinyYard, old: str, new: str, where: str, found: str) -> None:
    """An entry that cannot be meant is a fault, with its place."""
    tiny.replace(BOAT, old, new)
    (tiny.folder / "in_hand.csv").unlink()
    (tiny.folder / "locks.csv").unlink()
    fault = tiny.fault()
    assert fault.file == BOAT
    assert where in fault.where
    assert found in fault.found


@pytest.mark.parametrize(
    ("name", "value", "expected"),
    [
        ("hull_area_m2", 60.0, None),
        ("hull_area_m2", 0.0, "more than 0"),
        ("hull_area_m2", 1001.0, "at most 1000 m² on one boat"),
        ("head_count", 0.0, None),
        ("head_count", -1.0, "0 or more"),
        ("joint_length_m", 5001.0, "at most 5000 m on one boat"),
        ("resin_kg", 1e9, "at most 50000 kg on one boat"),
        ("tank_l", 20_000.0, "at most 10000 l on one boat"),
    ],
)
def test_plausible_quantities(name: str, value: float, expected: str | None) -> None:
    """Each unit has its own largest plausible quantity; only counts may be 0."""
    assert implausible(name, value) == expected
