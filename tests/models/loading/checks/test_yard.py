"""Checks inside `yard.toml`: names that must exist, times on ticks, no overlaps."""

from __future__ import annotations

import pytest

from tests.models.loading.conftest import TinyYard

YARD = "yard.toml"
LATE = '"fri"], start = "14:30", end = "22:30" }'
OVERLAPPING = LATE + ', { days = ["fri"], start = "22:00", end = "23:00" }'
ANOTHER_DAY = LATE + ', { days = ["sat"], start = "22:00", end = "23:00" }'
ADJACENT = LATE + ', { days = ["fri"], start = "22:30", end = "00:00" }'


@pytest.mark.parametrize(
    ("old", "new", "where", "found"),
    [
        ('delivery_calendar = "shop"', 'delivery_calendar = "shp"', "delivery", "shp"),
        ('"Rigging", calendar = "shop"', '"R", calendar = "x"', "skills.rig", "'x'"),
        ('["rig"], calendar = "shop"', '["rig"], calendar = "x"', "people.RG", "'x'"),
        ('["rig"]', '["rig", "rug"]', "people.RG-01.skills", "'rug'"),
        ('["rig"]', '["rig", "rig"]', "people.RG-01.skills", "more than once"),
        ('id = "LM-02"', 'id = "LM-01"', "people", "'LM-01' more than once"),
        ('id = "Bay 1"', 'id = "H16-1"', "molds and places", "'H16-1' more than once"),
        ('id = "bays"', 'id = "floor"', "stations", "'floor' more than once"),
        ('kind = "bay"', 'kind = "bay", models = ["x"]', "places.Bay 1.models", "'x'"),
        (LATE, OVERLAPPING, "calendars.late.shifts", "14:30 and 22:00 that overlap"),
    ],
)
def test_refused(tiny: TinyYard, old: str, new: str, where: str, found: str) -> None:
    """A name that is unknown or doubled, or shifts that overlap, are faults."""
    tiny.replace(YARD, old, new)
    told = [one for one in tiny.faults() if one.file == YARD and where in one.where]
    assert found in " ".join(fault.found for fault in told)


@pytest.mark.parametrize("shifts", [ANOTHER_DAY, ADJACENT])
def test_shifts_that_do_not_overlap(tiny: TinyYard, shifts: str) -> None:
    """Shifts may touch, and may share hours of different days."""
    tiny.replace(YARD, LATE, shifts)
    assert tiny.faults() == ()


def test_groups_of_stations(tiny: TinyYard) -> None:
    """Stations have at most six groups over all."""
    more = "".join(
        f'  {{ id = "s{n}", name = "S", group = "Group {n}" }},\n' for n in range(4)
    )
    tiny.replace(YARD, "stations = [\n", "stations = [\n" + more)
    fault = tiny.fault()
    assert fault.where == "stations"
    assert fault.found.startswith("7 groups")


def test_skill_of_a_person_with_a_fault(tiny: TinyYard) -> None:
    """Where a person could not be read, nobody is blamed for lacking the skill."""
    tiny.replace(YARD, '"RG-01", skills = ["rig"]', '"RG-01", skills = "rig"')
    assert [fault.where for fault in tiny.faults()] == ["people.RG-01.skills"]


def test_several_ticks(tiny: TinyYard) -> None:
    """With ticks of half an hour a quarter past is off them."""
    tiny.replace(YARD, "tick_minutes = 15", "tick_minutes = 30")
    assert tiny.faults() == ()
    tiny.replace(YARD, '["12:00", "12:30"]', '["12:00", "12:15"]')
    assert tiny.fault().found == "12:15"
