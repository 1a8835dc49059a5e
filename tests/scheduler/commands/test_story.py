"""Some days of a yard: plan, publish, work, fall behind, plan again, publish again."""

from __future__ import annotations

import json
from pathlib import Path

from tests.scheduler.commands.conftest import Hullpace, Ran


def ok(ran: Ran) -> Ran:
    """A command that must have gone well."""
    assert ran.code == 0, ran.err + ran.out
    return ran


def test_two_weeks_of_a_yard(hullpace: Hullpace, yard: Path, tmp_path: Path) -> None:
    """Delays, a failed gate, an absence, a change: every promise can be read back."""
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

    # Monday: the next hull is masked, and its customer wants a hard top instead.
    ok(record("start", "B-2", "hull.prep", "--at", "2027-03-08T06:00", "--mold",
              "H16-1"))  # fmt: skip
    ok(record("finish", "B-2", "hull.prep", "--at", "2027-03-08T08:00"))
    ok(record("start", "B-2", "hull.color1.mask", "--at", "2027-03-08T08:00"))
    stale = hullpace("publish", out / "plan.json", "--yard", yard, "--replaces", "3")
    assert stale.code == 0  # it is the published one already
    order = ("order", "change", "B-2", "--yard", yard, "--work", "20", "--options",
             "hard-top")  # fmt: skip
    refused = hullpace(*order, "--graphics", "none")
    assert refused.code == 1
    assert "'hull.color1.mask' was begun" in refused.err
    shown = hullpace(*order)
    assert shown.code == 1
    assert "  final.rig: 20.12 h → 27.02 h" in shown.lines
    assert any(line.startswith("  Finish moved:") for line in shown.lines)
    ok(hullpace(*order, "--after", "2", "--why", "the customer asks"))
    late = hullpace(*order, "--after", "2")
    assert late.code == 1
    assert "order B-2 changed; last by" in late.err
    lines, starts = replan()
    assert any("WHY WORK MOVES" in line for line in lines)
    ok(hullpace("publish", out / "plan.json", "--yard", yard, "--replaces", "4"))

    # Wednesday: the layout is under gel coat; the engine of B-1 comes two weeks late.
    for number, step in enumerate(COLORS):
        day = f"2027-03-{9 + number // 3:02}T{7 + 2 * (number % 3):02}"
        if step != "hull.color1.mask":
            ok(record("start", "B-2", step, "--at", f"{day}:00"))
        ok(record("finish", "B-2", step, "--at", f"{day}:45"))
    ok(record("start", "B-2", "hull.gel_coat", "--at", "2027-03-10T12:00"))
    ok(record("finish", "B-2", "hull.gel_coat", "--at", "2027-03-10T14:00"))
    arrivals = yard / "arrivals.csv"
    text = arrivals.read_text("utf-8")
    assert ",2027-03-10," in text
    arrivals.write_text(text.replace(",2027-03-10,", ",2027-03-24,"), "utf-8")
    old = hullpace("load", "--yard", yard)
    assert old.code == 1
    assert "hullpace order change B-2" in old.err
    orders = yard / "orders.csv"
    orders.write_text(orders.read_text("utf-8").replace("canvas-top", "hard-top"))
    ok(hullpace("load", "--yard", yard, "--after", "3", "--why", "engine late"))
    lines, starts = replan()
    assert starts["B-1/final.rig"] >= "2027-03-24"
    late_engine = "  its items or its release keep it until 2027-03-24: 2 steps of B-1"
    assert any(line.startswith(late_engine) for line in lines)
    ok(record("start", "B-2", "hull.laminate", "--at", "2027-03-11T07:00"))
    stale = hullpace("publish", out / "plan.json", "--yard", yard, "--replaces", "5")
    assert stale.code == 1
    assert "recorded since the plan read the floor's entries" in stale.err
    ok(record("finish", "B-2", "hull.laminate", "--at", "2027-03-11T14:00"))
    replan()
    ok(hullpace("publish", out / "plan.json", "--yard", yard, "--replaces", "5"))

    told = events(ok(hullpace("history", "B-1", "--yard", yard, "--json")))
    assert [one.split(":")[0] for one in told] == [
        "load 1", "plan 1", "entry 1", "entry 2", "entry 3", "entry 4",
        "entry 5", "entry 6", "entry 7", "entry 8", "plan 4", "load 4", "plan 6",
    ]  # fmt: skip
    promises = [one for one in told if "promised" in one]
    assert all("promised 2027-04-02" in one for one in promises[1:])
    told = events(ok(hullpace("history", "B-2", "--yard", yard, "--json")))
    assert "load 3: options: canvas-top → hard-top" in told
    dates = [one for one in told if one.startswith("plan ")]
    assert dates[0].startswith("plan 1: promised ")
    assert all("(proposed); finish 2027-0" in one for one in dates)
    again = ok(hullpace("diff", "1", "6", "--yard", yard))
    assert "B-1" in again.out
    assert "WHY WORK MOVES" in again.out


COLORS = tuple(
    f"hull.color{color}.{verb}"
    for color in (1, 2)
    for verb in ("mask", "spray", "unmask")
)


def events(ran: Ran) -> list[str]:
    """What happened to an order, oldest first."""
    return [one["what"] for one in json.loads(ran.out)]


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
