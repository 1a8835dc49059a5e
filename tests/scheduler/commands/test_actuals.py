"""`hullpace actuals`."""

from __future__ import annotations

import json
from pathlib import Path

from tests.scheduler.commands.conftest import Hullpace
from tests.scheduler.commands.test_record import working, written

__all__ = ["working"]

ROWS = (
    "B-1,hull.laminate,finish,2027-03-01T08:15,5,,,",
    "B-1,hull.demold,start,2027-03-03T08:15,,,,",
    "B-1,hull.demold,hours,2027-03-03T12:00,6,,,",
    "B-1,hull.demold,finish,2027-03-08T07:00,4,,,",
)


def test_nothing_recorded(hullpace: Hullpace, working: Path) -> None:
    """Without entries there is nothing to compare, and the command says so."""
    ran = hullpace("actuals", "--yard", working)
    assert ran.code == 0, ran.err
    assert "No hours were recorded and nothing was finished yet." in ran.lines
    assert "No step was finished on two boats of a model, with hours: no estimate." in (
        ran.lines
    )


def test_earned_and_worked(hullpace: Hullpace, working: Path, tmp_path: Path) -> None:
    """Hours of the floor stand against the standard, by station and week."""
    file = written(tmp_path, *ROWS)
    assert hullpace("record", "--from", file, "--yard", working).code == 0
    ran = hullpace("actuals", "--yard", working)
    cells = [line.split() for line in ran.lines if line.startswith("floor  ")]
    assert cells == [["floor", "-", "4/11", "9/4", "14/15", "90", "%"]]
    told = json.loads(hullpace("actuals", "--yard", working, "--json").out)
    assert told["earned"] == [
        {
            "station": "floor",
            "week": week,
            "earned_hours": earned,
            "actual_hours": worked,
            "unrecorded_hours": 0.0,
        }
        for week, earned, worked in (("2027-W09", 4.5, 11.0), ("2027-W10", 9.0, 4.0))
    ]
    assert (told["standards"], told["left_out"]) == ([], [])


def test_without_a_store(hullpace: Hullpace, yard: Path) -> None:
    """Where nothing was loaded, one line says what to do."""
    ran = hullpace("actuals", "--yard", yard)
    assert ran.code == 2
    assert "`hullpace load` makes one" in ran.err
