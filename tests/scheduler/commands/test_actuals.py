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


def many_molds(yard: Path) -> None:
    """Give the little yard four boats more, and a mold for each."""
    rows = [f"B-{n},C-{n},skiff-16,,,2027-06-01,,,1,," for n in (3, 4, 5)]
    orders = yard / "orders.csv"
    orders.write_text(orders.read_text("utf-8") + "\n".join(rows) + "\n", "utf-8")
    text = (yard / "yard.toml").read_text("utf-8")
    mold = next(line for line in text.splitlines() if '"H16-1"' in line)
    more = [mold.replace("H16-1", f"M-{n}") for n in (2, 3, 4, 5)]
    text = text.replace(mold, "\n".join([mold, *more]))
    (yard / "yard.toml").write_text(text, "utf-8")


def test_from_a_suggestion_to_the_next_plan(
    hullpace: Hullpace, yard: Path, tmp_path: Path
) -> None:
    """Listed, accepted as the list says, seen in hours, in the plan and in history."""
    many_molds(yard)
    out, store = tmp_path / "out", ("--store", yard / "yard.db")
    assert hullpace("load", "--yard", yard).code == 0
    plan = ("plan", "--work", "20", "--out", out)
    assert hullpace(*plan, "--yard", yard).code == 0
    assert hullpace("publish", out / "plan.json", "--yard", yard).code == 0
    file = tmp_path / "floor.csv"
    rows = ["order,operation,what,at,hours,mold"]
    for boat, hours in ((2, 4.0), (3, 4.1), (4, 3.9), (5, 4.0)):
        for what, clock, worked in (("start", "06", ""), ("finish", "14", hours)):
            at = f"2027-03-01T{clock}:00"
            rows.append(f"B-{boat},hull.prep,{what},{at},{worked},M-{boat}")
    file.write_text("\n".join(rows) + "\n", "utf-8")
    ran = hullpace("record", "--from", file, "--yard", yard)
    assert ran.code == 0, ran.err
    ran = hullpace("actuals", "--yard", yard)
    line = next(one for one in ran.lines if one.startswith("skiff-16"))
    assert line.split()[:3] == ["skiff-16", "hull.prep", "4"]
    words = next(one for one in ran.lines if "actuals accept" in one).split()
    accept = words[words.index("actuals") :]
    ran = hullpace(*accept)
    assert ran.code == 0, ran.err
    assert ran.out.startswith("Decision 1: skiff-16 hull.prep x 1.24 from 4 boats acc")
    assert "was accepted so already, as decision 1" in hullpace(*accept).out
    hours = hullpace("hours", *store, "--order", "B-3").out
    assert "Standard re-estimated x 1.24 from 4 boats" in hours
    assert "re-estimated" not in hullpace("hours", "--yard", yard, "--order", "B-3").out
    assert "x 1.24 from 4 boats: accepted" in hullpace("history", "--yard", yard).out
    ran = hullpace(*plan, *store)
    assert ran.code == 0, ran.err
    assert "1 accepted standard; 5 boats planned" in ran.lines[0]
    inputs = json.loads((out / "plan.json").read_text("utf-8"))["inputs"]
    assert "accepted standards" in inputs
    assert hullpace("check", out / "plan.json", *store).code == 0
    replace = ("publish", out / "plan.json", "--yard", yard, "--replaces", "1")
    assert hullpace(*replace).code == 0


def test_what_a_decision_needs(hullpace: Hullpace, working: Path) -> None:
    """A step and, but for an end, the factor; unknown words are refused."""
    for words, told in (
        (("accept",), "needs MODEL and STEP"),
        (("accept", "skiff-16", "hull.prep"), "needs the suggested --factor"),
        (("end", "skiff-16", "hull.prep", "--factor", "2"), "takes no --factor"),
        (("keep", "skiff-16", "hull.prep"), "invalid choice"),
        (("accept", "skiff-16", "hull.prep", "--factor", "2"), "nothing is suggested"),
    ):
        ran = hullpace("actuals", *words, "--yard", working)
        assert ran.code == 2
        assert told in ran.err
