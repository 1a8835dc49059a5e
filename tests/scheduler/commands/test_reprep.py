"""A bond window that was missed: its re-preparation in plan, record and next plan."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.scheduler.commands.conftest import Hullpace

GRIND = """
[[operations]]
code = "hull.grind"
name = "Grind the gel coat"
parts = ["hull"]
station = "floor"
skill = "laminate"
crew = [1, 2]
caution = "grinding"
work = [{ text = "Grind and wipe", basis = "fixed", hours_per_unit = 3 }]

[[graphics]]
"""
WINDOW = "max_hours = 96"
LAMINATE = "B-1,hull.laminate,started,2027-02-26T12:30,,4.5,,,LM-01;LM-02\n"


@pytest.fixture
def late(yard: Path) -> Path:
    """The little yard, whose first hull waits for its laminate too long already."""
    boat = yard / "boats" / "skiff-16.toml"
    text = boat.read_text("utf-8").replace("\n[[graphics]]\n", GRIND, 1)
    text = text.replace(WINDOW, 'max_hours = 48, reprep = "hull.grind"')
    boat.write_text(text, "utf-8")
    rows = yard / "in_hand.csv"
    rows.write_text(rows.read_text("utf-8").replace(LAMINATE, ""), "utf-8")
    return yard


def test_a_missed_window_is_planned_and_recorded(
    hullpace: Hullpace, late: Path, tmp_path: Path
) -> None:
    """It is in the plan and its report, can be recorded, and then stands."""
    out, again, store = tmp_path / "out", tmp_path / "again", late / "yard.db"
    assert hullpace("load", "--yard", late).code == 0
    ran = hullpace("plan", "--yard", late, "--work", "20", "--out", out)
    assert ran.code == 0, ran.err
    assert "RE-PREPARATION" in ran.lines
    assert "B-1/hull.laminate cannot begin in the 48 h after" in ran.out
    assert hullpace("publish", out / "plan.json", "--yard", late).code == 0
    rows = json.loads((out / "plan.json").read_text("utf-8"))["answer"]["operations"]
    ground = next(row for row in rows if row["id"] == "B-1/hull.grind")
    step = ("B-1", "hull.grind", "--yard", late, "--at")
    ran = hullpace("record", "start", *step, ground["start"][:16])
    assert ran.code == 0, ran.err
    ran = hullpace("record", "finish", *step, ground["finish"][:16], "--hours", "3")
    assert ran.code == 0, ran.err
    ran = hullpace("plan", "--store", store, "--work", "20", "--out", again)
    assert ran.code == 0, ran.err
    assert "B-1/hull.grind is done; the 48 h after" in ran.out
    ran = hullpace("check", again / "plan.json", "--store", store)
    assert ran.code == 0, ran.out
