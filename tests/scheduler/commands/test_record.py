"""`hullpace record`."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from tests.scheduler.commands.conftest import Hullpace

BROKEN = Path(__file__).parents[2] / "models" / "recording" / "broken"
LAMINATED = ("record", "finish", "B-1", "hull.laminate", "--at", "2027-03-01T08:15")
HEAD = "order,operation,what,at,hours,people,note,corrects"

MATERIAL = """
[[materials]]
id = "resin"
name = "Resin"
kind = "resin"
unit = "kg"
air_celsius = [18, 30]
humidity_percent = [40, 80]
"""
USE = """
[[uses]]
operation = "hull.laminate"
material = "resin"
by = "unit"
quantity = "hull_area_m2"
kg_per_unit = 3
"""


@pytest.fixture
def working(hullpace: Hullpace, loaded: Path, yard: Path) -> Path:
    """The little yard with a published plan."""
    assert hullpace("publish", loaded, "--yard", yard).code == 0
    return yard


def written(folder: Path, *rows: str) -> Path:
    """A file of entries."""
    path = folder / "floor.csv"
    path.write_text("\n".join((HEAD, *rows)) + "\n", "utf-8")
    return path


def test_one_entry(hullpace: Hullpace, working: Path) -> None:
    """An entry is kept once, however often it is sent."""
    ran = hullpace(*LAMINATED, "--hours", "4", "--yard", working)
    assert ran.code == 0, ran.err
    assert ran.lines == ["Entry 1: B-1 hull.laminate finish 2027-03-01 08:15 4 h"]
    again = hullpace(*LAMINATED, "--hours", "4", "--yard", working)
    assert again.code == 0, again.err
    assert again.lines == ["Entry 1 says so already. Nothing was changed."]
    told = hullpace("history", "B-1", "--yard", working).out
    assert told.count("hull.laminate finish") == 1


def test_demold_waits_for_its_release(hullpace: Hullpace, working: Path) -> None:
    """Before the cure has ended the time is told from which it is allowed."""
    hullpace(*LAMINATED, "--yard", working)
    demold = ("record", "start", "B-1", "hull.demold", "--yard", working, "--at")
    ran = hullpace(*demold, "2027-03-03T08:14")
    assert ran.code == 2
    assert "expected 2027-03-03 08:15 or later (cure " in ran.err
    assert "nothing was recorded" in ran.err
    assert hullpace(*demold, "2027-03-03T08:15").code == 0


def test_a_correction(hullpace: Hullpace, working: Path) -> None:
    """It needs a reason; both entries stay; the second of two people is told."""
    hullpace(*LAMINATED, "--yard", working)
    later = (*LAMINATED[:-1], "2027-03-01T09:00", "--yard", working)
    ran = hullpace(*later)
    assert ran.code == 2  # done twice
    ran = hullpace(*later, "--corrects", "1")
    assert ran.code == 2
    assert "why the entry is corrected" in ran.err
    ran = hullpace(*later, "--corrects", "1", "--why", "misread")
    assert ran.code == 0, ran.err
    assert ran.lines[0].startswith("Entry 2, instead of entry 1: ")
    assert hullpace(*later, "--corrects", "1", "--why", "misread").code == 0
    ran = hullpace(*LAMINATED[:-1], "2027-03-01T10:00", "--corrects", "1",
                   "--why", "no", "--yard", working)  # fmt: skip
    assert ran.code == 1
    assert "entry 1 was corrected by " in ran.err
    told = hullpace("history", "B-1", "--yard", working).out
    assert "hull.laminate finish 2027-03-01 08:15" in told
    assert "hull.laminate finish 2027-03-01 09:00; instead of entry 1" in told
    ran = hullpace(*LAMINATED, "--yard", working)
    assert ran.lines == [
        "Entry 1 says so already; entry 2 holds in its place. Nothing was changed."
    ]


def test_a_correction_that_others_contradict(hullpace: Hullpace, working: Path) -> None:
    """An entry cannot be corrected to a time that what followed makes impossible."""
    hullpace(*LAMINATED, "--yard", working)
    demold = ("record", "start", "B-1", "hull.demold", "--at", "2027-03-03T08:15")
    hullpace(*demold, "--yard", working)
    ran = hullpace(*LAMINATED[:-1], "2027-03-01T10:00", "--corrects", "1",
                   "--why", "late", "--yard", working)  # fmt: skip
    assert ran.code == 2
    assert "with the earlier entry B-1 hull.demold start" in ran.err
    ran = hullpace("record", "withdraw", "--corrects", "2", "--yard", working,
                   "--why", "another boat")  # fmt: skip
    assert ran.code == 0, ran.err
    ran = hullpace(*LAMINATED[:-1], "2027-03-01T10:00", "--corrects", "1",
                   "--why", "late", "--yard", working)  # fmt: skip
    assert ran.code == 0, ran.err


def test_a_file_whole_or_not_at_all(
    hullpace: Hullpace, working: Path, tmp_path: Path
) -> None:
    """One wrong row keeps all out; sent again with more rows, only those are new."""
    good = "B-1,hull.laminate,hours,2027-03-01T07:00,2,LM-01;LM-02,,"
    path = written(tmp_path, good, "B-1,hull.demold,start,2027-03-01T09:00,,,,")
    ran = hullpace("record", "--from", path, "--yard", working)
    assert ran.code == 2
    assert "floor.csv: row 3, at: " in ran.err
    assert "hours" not in hullpace("history", "B-1", "--yard", working).out
    path = written(tmp_path, good)
    assert hullpace("record", "--from", path, "--yard", working).code == 0
    path = written(tmp_path, good, "B-1,hull.laminate,finish,2027-03-01T08:15,2,,,")
    ran = hullpace("record", "--from", path, "--yard", working, "--json")
    assert ran.code == 0, ran.err
    told = json.loads(ran.out)["entries"]
    assert [(one["number"], one["new"]) for one in told] == [(1, False), (2, True)]


def test_conditions_outside_the_data_sheet(
    hullpace: Hullpace, yard: Path, tmp_path: Path
) -> None:
    """The entry is kept, with a warning that history and the traveller say again."""
    path, boat = yard / "yard.toml", yard / "boats" / "skiff-16.toml"
    path.write_text(path.read_text("utf-8") + MATERIAL, "utf-8")
    boat.write_text(boat.read_text("utf-8") + USE, "utf-8")
    out, store = tmp_path / "out", yard / "yard.db"
    hullpace("plan", "--yard", yard, "--work", "20", "--out", out)
    hullpace("load", "--yard", yard)
    assert hullpace("publish", out / "plan.json", "--yard", yard).code == 0
    finish = (*LAMINATED, "--air-c", "14.5", "--humidity", "60", "--batch", "R-77",
              "--photo", "IMG_0034", "--yard", yard)  # fmt: skip
    ran = hullpace(*finish)
    assert ran.code == 0, ran.err
    warning = (
        "air temperature 14.5 °C is outside 18 to 30 °C of the data sheet of Resin"
    )
    assert ran.lines == [
        "Entry 1: B-1 hull.laminate finish 2027-03-01 08:15 air 14.5 °C humidity 60 % "
        "batch R-77 photo IMG_0034",
        f"  WARNING: {warning}",
        "Kept with what was warned of. Before anybody goes on: follow the material's "
        "data sheet, local codes and licensed practice.",
    ]
    assert hullpace(*finish).lines[0].startswith("Entry 1 says so already")
    assert f"WARNING: {warning}" in hullpace("history", "B-1", "--yard", yard).out
    told = hullpace("history", "--yard", yard).out
    assert "entry 1 from the floor, with 1 warning" in told
    sheets = ("sheets", "--plan", out / "plan.json", "--yard", yard, "--boat", "B-1",
              "--out", tmp_path)  # fmt: skip
    page = tmp_path / "traveller-B-1.html"
    assert hullpace(*sheets, "--store", store).code == 0
    text = page.read_text("utf-8")
    assert "Finish 2027-03-01 08:15: air 14.5 °C, humidity 60 %, batch R-77" in text
    assert f"Warning: {warning}" in text
    assert hullpace(*sheets).code == 0
    assert "R-77" not in page.read_text("utf-8")


def test_conditions_that_cannot_be_read(hullpace: Hullpace, working: Path) -> None:
    """Words and impossible figures are faults."""
    ran = hullpace(*LAMINATED, "--yard", working, "--air-c", "warm")
    assert ran.code == 2
    assert "record: air_celsius: found 'warm'; expected a number" in ran.err
    ran = hullpace(*LAMINATED, "--yard", working, "--humidity", "101")
    assert ran.code == 2
    assert "humidity_percent: found 101" in ran.err


def test_before_a_plan_is_published(
    hullpace: Hullpace, loaded: Path, yard: Path
) -> None:
    """Entries are against a plan that the floor has."""
    ran = hullpace(*LAMINATED, "--yard", yard)
    assert ran.code == 2
    assert ran.err == "hullpace: no plan was published yet: hullpace publish\n"


def test_an_order_that_the_plan_does_not_have(
    hullpace: Hullpace, working: Path
) -> None:
    """A boat that was loaded since has to be planned and published first."""
    path = working / "orders.csv"
    path.write_text(
        path.read_text("utf-8") + "B-3,C-3,skiff-16,,,2027-05-28,,,1,,\n", "utf-8"
    )
    assert hullpace("load", "--yard", working, "--after", "1").code == 0
    ran = hullpace("record", "start", "B-3", "hull.prep", "--yard", working,
                   "--at", "2027-03-02T06:00")  # fmt: skip
    assert ran.code == 2
    assert "'B-3', which plan 1 does not have" in ran.err


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["start", "B-1"], "needs an order and an operation"),
        ([], "needs WHAT ORDER OPERATION, or --from FILE"),
        (["start", "--from", "x.csv"], "from the file only"),
        (["start", "B-1", "hull.demold", "--at", "noon"], "record: at: found 'noon'"),
        (["stop", "B-1", "hull.demold"], "record: what: found 'stop'"),
        (["withdraw", "--corrects", "7", "--why", "x"], "has no such entry"),
        (["pause", "B-1", "hull.laminate", "--at", "2029-03-01T06:00"], "has passed"),
    ],
)
def test_wrong_usage(
    hullpace: Hullpace, working: Path, arguments: list[str], told: str
) -> None:
    """Clear lines, and nothing recorded."""
    ran = hullpace("record", *arguments, "--yard", working)
    assert ran.code == 2
    assert told in ran.err


def promised() -> dict[str, list[str]]:
    """What the folder's page says of each file."""
    out: dict[str, list[str]] = {}
    for line in (BROKEN / "README.md").read_text("utf-8").splitlines():
        name = re.fullmatch(r" {4}(\S+\.csv)", line)
        if name:
            out[name[1]] = []
        elif line.startswith("      ") and out:
            out[[*out][-1]].append(line.strip())
    return out


def test_each_broken_file_is_told_of() -> None:
    """The page names every file, and no other."""
    assert {path.name for path in BROKEN.glob("*.csv")} == promised().keys()


@pytest.mark.parametrize("name", promised())
def test_a_broken_file(hullpace: Hullpace, working: Path, name: str) -> None:
    """Every fault is listed, each in one line."""
    ran = hullpace("record", "--from", BROKEN / name, "--yard", working)
    assert ran.code == 2
    assert ran.err.splitlines()[:-1] == promised()[name]
    assert ran.err.splitlines()[-1].endswith("nothing was recorded.")
