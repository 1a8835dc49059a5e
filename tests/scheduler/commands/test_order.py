"""`hullpace order`: change and withdraw."""

from __future__ import annotations

import json
import shlex
from pathlib import Path

import pytest

from tests.scheduler.commands.conftest import Hullpace

CANVAS = ("order", "change", "B-1", "--options", "canvas-top", "--work", "20")


@pytest.fixture
def working(hullpace: Hullpace, loaded: Path, yard: Path) -> Path:
    """The little yard with a published plan."""
    assert hullpace("publish", loaded, "--yard", yard).code == 0
    return yard


def test_the_effect_is_shown_before_it_is_accepted(
    hullpace: Hullpace, working: Path
) -> None:
    """Hours and dates first; nothing changes until the command is given back."""
    before = (working / "yard.db").read_bytes()
    ran = hullpace(*CANVAS, "--yard", working)
    assert ran.code == 1, ran.err
    assert ran.lines[:3] == [
        "B-1, against load 1:",
        "  options: hard-top, top-lights → canvas-top",
        "  final.rig: 27.02 h → 20.12 h",
    ]
    assert "  Promises that break: none." in ran.lines
    assert any(line.startswith("  Finish moved: 1 of 2 boats") for line in ran.lines)
    assert (working / "yard.db").read_bytes() == before
    last = ran.lines[-1]
    assert last.startswith("Nothing was changed. If it is meant: ")
    words = shlex.split(last.partition(" order ")[2])
    ran = hullpace("order", *words)
    assert ran.code == 0, ran.err
    assert ran.lines[0] == "B-1 is changed, as load 2."
    told = hullpace("history", "B-1", "--yard", working).out
    assert "load 2: options: hard-top, top-lights → canvas-top" in told
    assert "load 2: changed order B-1" in hullpace("history", "--yard", working).out
    ran = hullpace("order", *words)
    assert ran.code == 1
    assert "since load 1, order B-1 changed" in ran.err


def test_removal_is_planned_and_checked(
    hullpace: Hullpace, working: Path, tmp_path: Path
) -> None:
    """A hard top that hangs is taken off by a step of its own, before detailing."""
    for what, step, at, *more in (
        ("finish", "hull.laminate", "2027-03-01T09:00"),
        ("start", "hull.demold", "2027-03-03T09:00", "--place", "Bay 1"),
        ("finish", "hull.demold", "2027-03-03T12:00"),
        ("start", "final.rig", "2027-03-03T12:30"),
        ("finish", "final.rig", "2027-03-05T14:00"),
    ):
        ran = hullpace(
            "record", what, "B-1", step, "--at", at, *more, "--yard", working
        )
        assert ran.code == 0, ran.err
    ran = hullpace(*CANVAS, "--yard", working)
    assert ran.code == 1
    assert ran.err.count("\n") == 1
    assert "--removal-hours final.rig=H, 0 if it can stay" in ran.err
    removal = ("--removal-hours", "final.rig=12", "--yard", working)
    ran = hullpace(*CANVAS, *removal)
    assert ran.code == 1, ran.err
    assert (
        "  final.rig.change1: new, 12 h (Change: take off 'Fit the hard top')"
        in ran.lines
    )
    assert any("1 later" in line for line in ran.lines), ran.out
    ran = hullpace(*CANVAS, *removal, "--after", "1")
    assert ran.code == 0, ran.err
    out, store = tmp_path / "again", working / "yard.db"
    ran = hullpace("plan", "--store", store, "--work", "20", "--out", out)
    assert ran.code == 0, ran.err
    plan = out / "plan.json"
    rows = {
        one["id"]: one for one in json.loads(plan.read_text())["answer"]["operations"]
    }
    assert rows["B-1/final.rig.change1"]["finish"] <= rows["B-1/final.detail"]["start"]
    ran = hullpace("check", plan, "--store", store)
    assert "keep every rule, and agree with" in ran.out
    ran = hullpace("publish", plan, "--yard", working, "--replaces", "1")
    assert ran.code == 0, ran.err


def test_withdrawing(hullpace: Hullpace, working: Path) -> None:
    """An order not begun leaves the plan; one begun stays, and it is said why."""
    ran = hullpace("order", "withdraw", "B-2", "--yard", working, "--work", "20")
    assert ran.code == 1
    assert "  leaves the book; none of its work has begun" in ran.lines
    assert "  Only in the earlier plan: B-2." in ran.lines
    ran = hullpace("order", "withdraw", "B-2", "--yard", working, "--after", "1",
                   "--why", "the customer", "--json")  # fmt: skip
    assert json.loads(ran.out) == {"order": "B-2", "what": "withdrawn", "load": 2}
    ran = hullpace("order", "withdraw", "B-1", "--yard", working)
    assert ran.code == 1
    assert "B-1 stays in the plan: 'hull.prep' and 2 more begun" in ran.err


def test_as_an_object(hullpace: Hullpace, working: Path) -> None:
    """Hours by step, boats as `diff` gives them."""
    told = json.loads(hullpace(*CANVAS, "--yard", working, "--json").out)
    assert (told["load"], told["changed"]) == (1, False)
    assert [one["operation"] for one in told["steps"]] == ["final.rig"]
    assert {one["order"] for one in told["boats"]} == {"B-1"}


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("change", "B-1"), "needs --options or --graphics"),
        (("change", "B-1", "--options", "a", "--removal-hours", "x"), "STEP=HOURS"),
        (("change", "B-9", "--options", "none"), "no order 'B-9'"),
        (("withdraw", "B-9"), "no order 'B-9'"),
    ],
)
def test_one_clear_line(
    hullpace: Hullpace, working: Path, words: tuple[str, ...], told: str
) -> None:
    """What was called wrongly is said."""
    ran = hullpace("order", *words, "--yard", working)
    assert ran.code == 2
    assert told in ran.err
