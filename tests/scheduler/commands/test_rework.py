"""A failed gate: its rework in the next plan, and the dates that it hits."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from models.store.transactions import open_store
from scheduler.building.build import build_problem
from scheduler.compare import compare
from scheduler.plan_file import read_plan
from scheduler.replanning import recall_book
from tests.scheduler.commands.conftest import Hullpace

FAIL = ("gate", "B-1", "hull.laminate", "--at", "2027-03-09T08:15", "--result", "fail",
        "--note", "soft at the transom", "--rework-hours", "9")  # fmt: skip


@pytest.fixture
def laminated(hullpace: Hullpace, yard: Path, tmp_path: Path) -> Path:
    """The little yard with a gate on the laminate, which is done."""
    boat = yard / "boats" / "skiff-16.toml"
    step = 'code = "hull.laminate"\n'
    text = boat.read_text("utf-8").replace(step, f'{step}gate = "surface hardness"\n')
    boat.write_text(text, "utf-8")
    out = tmp_path / "out"
    assert hullpace("load", "--yard", yard).code == 0
    ran = hullpace("plan", "--yard", yard, "--work", "20", "--out", out)
    assert ran.code == 0, ran.err
    assert hullpace("publish", out / "plan.json", "--yard", yard).code == 0
    ran = hullpace("record", "finish", "B-1", "hull.laminate", "--yard", yard,
                   "--at", "2027-03-01T08:15", "--hours", "4.5")  # fmt: skip
    assert ran.code == 0, ran.err
    return yard


def test_rework_is_planned_before_the_next_result(
    hullpace: Hullpace, laminated: Path, tmp_path: Path
) -> None:
    """The hull stays in its mold for rework and cure; the next boat waits for it."""
    ran = hullpace("record", *FAIL, "--yard", laminated)
    assert ran.code == 0, ran.err
    assert ran.lines[0].endswith("fail 9 h of rework (soft at the transom)")
    assert ran.lines[1].startswith("  'hull.laminate.rework1' comes before the next")
    assert ran.lines[2].endswith(f"plan --store {laminated / 'yard.db'}")
    store, out = laminated / "yard.db", tmp_path / "again"
    ran = hullpace("plan", "--store", store, "--work", "20", "--out", out)
    assert ran.code == 0, ran.err
    assert "'hull.laminate.rework1' (9 h of rework) comes before" in ran.lines[1]
    assert any(line.startswith("B-1    2027-") for line in ran.lines)
    assert any(
        line.startswith("B-1/hull.demold moved inside the frozen window")
        for line in ran.lines
    )
    document = json.loads((out / "plan.json").read_text("utf-8"))
    rows = {row["id"]: row for row in document["answer"]["operations"]}
    again, demold = rows["B-1/hull.laminate.rework1"], rows["B-1/hull.demold"]
    assert again["start"] >= "2027-03-10"
    assert len(again["people"]) == again["crew"] >= 2
    assert demold["start"][:10] >= "2027-03-12"  # two days of cure after it
    assert demold["start"][11:16] >= "06:00"
    (held,) = (
        one
        for one in document["answer"]["occupations"]
        if (one["resource"], one["order"]) == ("H16-1", "B-1")
    )
    assert held["to"] == demold["finish"]
    assert rows["B-2/hull.prep"]["start"] >= demold["finish"]
    ran = hullpace("check", out / "plan.json", "--store", store)
    assert ran.code == 0, ran.out
    assert "keep every rule, and agree with" in ran.out


def test_rework_that_a_plan_leaves_out_is_seen(
    hullpace: Hullpace, laminated: Path, tmp_path: Path
) -> None:
    """The problem rebuilt from the store has the rework and its waits."""
    assert hullpace("record", *FAIL, "--yard", laminated).code == 0
    store, out = laminated / "yard.db", tmp_path / "again"
    assert hullpace("plan", "--store", store, "--work", "20", "--out", out).code == 0
    problem = read_plan(out / "plan.json").problem
    without = replace(
        problem,
        operations=tuple(
            one for one in problem.operations if not one.code.endswith(".rework1")
        ),
    )
    day = problem.axis.local(problem.now).date()
    rebuilt = build_problem(recall_book(open_store(str(store)), day))
    assert compare(problem, rebuilt) == []
    assert compare(without, rebuilt) == [
        "Operation B-1/hull.laminate.rework1 is in the data, but not in the plan."
    ]


def test_another_step_says_how(
    hullpace: Hullpace, laminated: Path, tmp_path: Path
) -> None:
    """The rework takes the trade of the step that is named."""
    words = ("--rework-step", "hull.prep", "--yard", laminated)
    assert hullpace("record", *FAIL, *words).code == 0
    out = tmp_path / "again"
    ran = hullpace("plan", "--store", laminated / "yard.db", "--work", "20",
                   "--out", out)  # fmt: skip
    assert ran.code == 0, ran.err
    document = json.loads((out / "plan.json").read_text("utf-8"))
    (step,) = (
        one
        for one in document["problem"]["operations"]
        if one["code"] == "hull.laminate.rework1"
    )
    assert (step["crew_min"], step["crew_max"], step["one_go"]) == (1, 2, False)


def test_the_rework_is_recorded_like_any_step(
    hullpace: Hullpace, laminated: Path, tmp_path: Path
) -> None:
    """Begun, done, inspected: then the demold may begin; taken back, it is gone."""
    assert hullpace("record", *FAIL, "--yard", laminated).code == 0
    again = ("B-1", "hull.laminate.rework1", "--yard", laminated, "--at")
    ran = hullpace("record", "start", *again, "2027-03-10T06:00")
    assert ran.code == 0, ran.err
    ran = hullpace("record", "withdraw", "--corrects", "2", "--why", "read wrongly",
                   "--yard", laminated)  # fmt: skip
    assert ran.code == 2
    assert "with the earlier entry B-1 hull.laminate.rework1 start" in ran.err
    hullpace("record", "finish", *again, "2027-03-10T09:00", "--hours", "9")
    ran = hullpace("record", "gate", *again, "2027-03-12T09:00", "--result", "pass")
    assert ran.code == 0, ran.err
    demold = ("start", "B-1", "hull.demold", "--people", "LM-01;LM-02;LM-03", "--place",
              "Bay 1", "--yard", laminated, "--at", "2027-03-12T09:15")  # fmt: skip
    ran = hullpace("record", *demold)
    assert ran.code == 0, ran.err
    sheets = hullpace("history", "B-1", "--yard", laminated)
    assert "hull.laminate.rework1 gate 2027-03-12 09:00 pass" in sheets.out
