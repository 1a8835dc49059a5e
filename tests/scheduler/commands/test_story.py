"""Some days of a yard: plan, publish, work, fall behind, plan again, publish again."""

from __future__ import annotations

import json
from pathlib import Path

from tests.scheduler.commands.conftest import Hullpace, Ran


def ok(ran: Ran) -> Ran:
    """A command that must have gone well."""
    assert ran.code == 0, ran.err + ran.out
    return ran


def test_some_days_of_a_yard(hullpace: Hullpace, yard: Path, tmp_path: Path) -> None:
    """Late laminate, a failed gate, an absence: every promise can be read back."""
    store, out = yard / "yard.db", tmp_path / "again"
    boat = yard / "boats" / "skiff-16.toml"
    step = 'code = "hull.laminate"\n'
    text = boat.read_text("utf-8")
    assert step in text
    boat.write_text(text.replace(step, f'{step}gate = "surface hardness"\n'), "utf-8")
    ok(hullpace("load", "--yard", yard))
    ok(hullpace("plan", "--store", store, "--work", "20", "--out", out))
    ok(hullpace("publish", out / "plan.json", "--yard", yard, "--why", "the week"))

    def record(*words: str) -> Ran:
        return hullpace("record", *words, "--yard", yard)

    def replan() -> tuple[list[str], dict[str, str]]:
        ran = ok(hullpace("plan", "--store", store, "--work", "20", "--out", out))
        plan = out / "plan.json"
        checked = ok(hullpace("check", plan, "--store", store))
        assert "keep every rule, and agree with" in checked.out
        rows = json.loads(plan.read_text("utf-8"))["answer"]["operations"]
        return ran.lines, {row["id"]: row["start"] for row in rows}

    # Monday and Tuesday: the laminate needs a day more than planned.
    ok(record("pause", "B-1", "hull.laminate", "--at", "2027-03-01T14:30",
              "--hours", "3", "--remaining-hours", "6"))  # fmt: skip
    ok(record("start", "B-1", "hull.laminate", "--at", "2027-03-02T06:00"))
    ok(record("scrap", "B-1", "hull.laminate", "--at", "2027-03-02T08:00",
              "--note", "4 kg of resin gone off"))  # fmt: skip
    ok(record("finish", "B-1", "hull.laminate", "--at", "2027-03-02T10:00",
              "--hours", "6"))  # fmt: skip
    early = record("start", "B-1", "hull.demold", "--at", "2027-03-03T07:30")
    assert early.code == 2
    assert "expected 2027-03-04 10:00 or later" in early.err

    lines, starts = replan()
    assert starts["B-1/hull.demold"] >= "2027-03-04T10:00"
    moved = [line for line in lines if "moved inside the frozen window" in line]
    assert any(
        line.startswith("B-1/hull.demold ") and "done later than planned" in line
        for line in moved
    )
    assert any(line.startswith("B-2/hull.prep ") for line in moved)
    ok(hullpace("publish", out / "plan.json", "--yard", yard, "--replaces", "1",
                "--why", "laminate a day late"))  # fmt: skip

    # Thursday: the cure has ended, but the hull is soft, and stays in its mold.
    gate = ("gate", "B-1", "hull.laminate", "--at")
    ok(record(*gate, "2027-03-04T10:00", "--result", "fail", "--note", "soft aft"))
    demold = ("start", "B-1", "hull.demold", "--people", "LM-01;LM-02;LM-03",
              "--place", "Bay 1", "--at")  # fmt: skip
    soft = record(*demold, "2027-03-04T10:30")
    assert soft.code == 2
    assert "a fail (soft aft) of the gate 'surface hardness'" in soft.err
    lines, starts = replan()
    assert "gate 'surface hardness' failed" in lines[1]
    assert starts["B-1/hull.demold"] >= "2027-03-05"
    ok(hullpace("publish", out / "plan.json", "--yard", yard, "--replaces", "2"))

    # Friday: it comes out; the only rigger is ill for the next week.
    ok(record(*gate, "2027-03-05T06:30", "--result", "pass"))
    ok(record(*demold, "2027-03-05T07:00"))
    ok(record("finish", "B-1", "hull.demold", "--at", "2027-03-05T10:00",
              "--hours", "9"))  # fmt: skip
    file = yard / "yard.toml"
    rigger = 'id = "RG-01", skills = ["rig"], calendar = "shop"'
    text = file.read_text("utf-8")
    assert rigger in text
    leave = f'{rigger}, leave = [["2027-03-08", "2027-03-12"]]'
    file.write_text(text.replace(rigger, leave), "utf-8")
    ok(hullpace("load", "--yard", yard, "--after", "1", "--why", "RG-01 is ill"))
    lines, starts = replan()
    assert starts["B-1/final.rig"] >= "2027-03-15"
    assert any(
        line.startswith("B-1/final.rig moved") and "RG-01 is away" in line
        for line in lines
    )
    ok(hullpace("publish", out / "plan.json", "--yard", yard, "--replaces", "3"))

    told = ok(hullpace("history", "B-1", "--yard", yard, "--json")).out
    events = [one["what"].split(":")[0] for one in json.loads(told)]
    assert events == [
        "load 1", "plan 1", "entry 1", "entry 2", "entry 3", "entry 4",
        "entry 5", "entry 6", "entry 7", "entry 8", "plan 4",
    ]  # fmt: skip
    promises = [one["what"] for one in json.loads(told) if "promised" in one["what"]]
    assert all("promised 2027-04-02" in one for one in promises[1:])
    again = ok(hullpace("diff", "1", "4", "--yard", yard))
    assert "B-1" in again.out


def test_planning_twice_from_the_same_changes_nothing(
    hullpace: Hullpace, loaded: Path, yard: Path, tmp_path: Path
) -> None:
    """Without an entry the published plan stands as it is."""
    ok(hullpace("publish", loaded, "--yard", yard))
    ran = ok(hullpace("plan", "--store", yard / "yard.db", "--work", "20",
                      "--out", tmp_path / "again"))  # fmt: skip
    assert "none: every earlier date stands" in ran.out
    assert "moved inside" not in ran.out
    difference = ok(hullpace("diff", loaded, tmp_path / "again" / "plan.json")).out
    assert "The two plans are the same: every boat, step and person." in difference


def test_options_that_do_not_go_together(hullpace: Hullpace, yard: Path) -> None:
    """One clear line each."""
    store = yard / "yard.db"
    ran = hullpace("plan", "--store", store, "--yard", yard)
    assert ran.code == 2
    assert "leave out --yard" in ran.err
    ran = hullpace("plan", "--as-of", "2027-03-04", "--yard", yard)
    assert ran.code == 2
    assert "--as-of needs --store" in ran.err
    ran = hullpace("plan", "--store", store)
    assert ran.code == 2
    assert "`hullpace load` makes one" in ran.err
    ran = hullpace("check", "x.json", "--store", store, "--yard", yard)
    assert ran.code == 2
