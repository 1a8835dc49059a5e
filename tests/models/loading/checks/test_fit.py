"""Each operation can be done at all: its crew, and a stretch that is long enough."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from models.loading.checks.fit import calendar_of, trial_axis
from tests.models.loading.conftest import TinyYard
from tests.models.tiny import skiff, tiny_yard

BOAT = "boats/skiff-16.toml"
LAY = 'basis = "plies x area", quantity = "hull_area_m2", hours_per_unit = 0.3'


def test_trial_axis() -> None:
    """Steps are tried on the four weeks from the Monday of the first day planned."""
    axis = trial_axis(replace(tiny_yard(), as_of=date(2027, 3, 4)))
    assert axis.iso(0) == "2027-03-01T00:00-05:00"
    assert axis.ticks == 4 * 7 * 24 * 4


def test_calendar_of() -> None:
    """A step goes by its own calendar, else its skill's, else the delivery's."""
    yard, step = tiny_yard(), skiff().operations[0]
    assert calendar_of(step, yard) == "shop"
    assert calendar_of(replace(step, calendar="late"), yard) == "late"
    yard = replace(yard, delivery_calendar="late")
    assert calendar_of(replace(step, skill=None), yard) == "late"


@pytest.mark.parametrize(
    ("hours", "fits"), [(8.5 * 3, True), (8.5 * 3 + 0.01, False)], ids=["just", "over"]
)
def test_one_go_to_the_tick(tiny: TinyYard, hours: float, fits: bool) -> None:
    """A one-go step may take the whole shift, relieved break included, not more."""
    line = 'basis = "fixed", hours_per_unit = 9 }'
    tiny.replace(BOAT, line, line.replace("9", str(hours)))
    assert (tiny.faults() == ()) == fits


def test_one_go_over_a_break(tiny: TinyYard) -> None:
    """Where breaks are not relieved the longest stretch ends at the break."""
    tiny.replace("yard.toml", "breaks_relieved = true", "breaks_relieved = false")
    tiny.replace(BOAT, "hours_per_unit = 0.3", "hours_per_unit = 0.45")
    fault = tiny.fault()
    assert fault.where == "operations.hull.laminate"
    assert fault.found == "7.25 h with a crew of 3, in one go"
    assert fault.expected.startswith("at most 6 h")
    assert "split it by ply with a bond window" in fault.expected


def test_a_smaller_crew_with_more_time(tiny: TinyYard) -> None:
    """A step fits if any crew of its range does, not only the largest."""
    tiny.replace(
        "yard.toml", '"late", shifts = [', '"late", breaks_relieved=true, shifts=['
    )
    tiny.replace("yard.toml", '"LM-03", skills = ["laminate"], calendar = "shop"', "X")
    tiny.replace("yard.toml", "X", '"LM-03", skills = ["laminate"], calendar = "late"')
    tiny.replace(BOAT, "crew = [3, 3]", "crew = [2, 3]")
    assert tiny.faults() == ()


def test_hours_that_an_option_adds(tiny: TinyYard) -> None:
    """A step that options make too long for a shift is a fault of that order."""
    tiny.replace(BOAT, 'operation = "final.rig"', 'operation = "hull.demold"')
    tiny.replace(BOAT, "hours_per_unit = 6 }", "hours_per_unit = 60 }")
    fault = tiny.fault()
    assert (fault.file, fault.where) == ("orders.csv", "row 2, options")
    assert fault.found.startswith("hull.demold with these options: 23 h")


def test_pausable_that_people_interrupt(tiny: TinyYard) -> None:
    """A pausable step needs its crew at every tick of its calendar that it spans."""
    tiny.replace("yard.toml", '"LM-02", skills = ["laminate"], calendar = "shop"', "X")
    tiny.replace("yard.toml", "X", '"LM-02", skills = ["laminate"], calendar = "late"')
    tiny.replace("yard.toml", '"LM-03", skills = ["laminate"], calendar = "shop"', "X")
    tiny.replace("yard.toml", "X", '"LM-03", skills = ["laminate"], calendar = "late"')
    tiny.replace(
        "yard.toml",
        'start = "14:30", end = "22:30"',
        'start = "13:30", end = "22:30"',
    )
    tiny.replace(BOAT, "crew = [1, 2]", "crew = [3, 3]")
    told = {fault.where: fault for fault in tiny.faults()}
    fault = told["operations.hull.prep"]
    assert fault.found == "1.25 h with a crew of 3"
    assert fault.expected.startswith("at most 1 h")


@pytest.mark.parametrize(
    ("hours", "one_go", "fits"),
    [(8.5, "true", True), (9, "true", False), (90, "false", True), (0, "true", True)],
)
def test_step_without_crew(
    tiny: TinyYard, hours: float, one_go: str, fits: bool
) -> None:
    """A step without crew that is one-go must fit a shift; a pausable one need not."""
    text = (tiny.folder / BOAT).read_text(encoding="utf-8")
    head, rest = text.split("[[graphics]]")
    step = '[[operations]]\ncode = "hull.air"\nname = "Air out"\nparts = ["hull"]\n'
    step += f'station = "bays"\nduration_hours = {hours}\none_go = {one_go}\n\n'
    tiny.write(BOAT, head + step + "[[graphics]]" + rest)
    faults = tiny.faults()
    assert [fault.where for fault in faults] == (
        [] if fits else ["operations.hull.air"]
    )


def test_a_new_model_is_judged_by_its_slowest_boat(tiny: TinyYard) -> None:
    """What fits at the rates of boat 9 need not fit on the first boat to come."""
    line = 'basis = "fixed", hours_per_unit = 9 }'
    tiny.replace(BOAT, line, line.replace("9", "18"))
    assert tiny.faults() == ()
    path = tiny.folder / BOAT
    learning = '[learning]\ncurve = "unit"\nrate = 0.8\nrates_of_boat = 9\nbuilt = '
    plain = path.read_text(encoding="utf-8")
    path.write_text(f"{plain}\n{learning}8\n", encoding="utf-8")
    assert tiny.faults() == ()
    path.write_text(f"{plain}\n{learning}0\n", encoding="utf-8")
    faults = tiny.faults()
    wheres = [fault.where for fault in faults]
    assert wheres == ["operations.hull.laminate", "operations.hull.demold"]
    assert all("in one go" in fault.found for fault in faults)
