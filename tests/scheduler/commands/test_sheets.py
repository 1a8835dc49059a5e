"""`hullpace sheets`."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.scheduler.commands.conftest import Hullpace


@pytest.fixture
def out(tmp_path: Path) -> Path:
    """Where sheets go."""
    return tmp_path / "sheets"


def test_a_days_sheets_and_the_travellers_of_its_boats_are_written(
    hullpace: Hullpace, planned: Path, yard: Path, out: Path
) -> None:
    """Each printed line names a file that is there; the index is named last."""
    ran = hullpace("sheets", "--plan", planned, "--yard", yard, "--out", out)
    assert ran.code == 0, ran.err
    names = {path.name for path in out.iterdir()}
    assert "index.html" in names
    assert any(name.startswith("sheet-") for name in names)
    assert any(name.startswith("traveller-") for name in names)
    assert "calendar.ics" not in names
    for name in names - {"index.html"}:
        assert any(line.startswith(f"{out / name}:") for line in ran.lines), name
    assert ran.lines[-1] == f"Open and print: {out / 'index.html'}"


def test_one_boat_is_only_its_traveller(
    hullpace: Hullpace, planned: Path, yard: Path, out: Path
) -> None:
    """--boat writes no sheet of a crew; --calendar then has this boat's events."""
    order = json.loads(planned.read_text("utf-8"))["problem"]["orders"][0]["order"]
    ran = hullpace(
        *("sheets", "--plan", planned, "--yard", yard, "--out", out),
        *("--boat", order, "--calendar"),
    )
    assert ran.code == 0, ran.err
    names = {path.name for path in out.iterdir()}
    assert names == {"index.html", "calendar.ics", f"traveller-{order}.html"}
    text = (out / "calendar.ics").read_bytes().decode("utf-8")
    assert text.count("BEGIN:VEVENT\r\n") == text.count("END:VEVENT\r\n") > 0
    assert text.count("Delivery ") == 1


def test_one_crew_is_only_its_sheet(
    hullpace: Hullpace, planned: Path, yard: Path, out: Path
) -> None:
    """--crew is a group of stations in any case of letters, and no traveller."""
    ran = hullpace("sheets", "--plan", planned, "--yard", yard, "--crew", "none")
    assert ran.code == 2
    known = ran.err.split("are ")[1].strip().split(", ")
    ran = hullpace(
        *("sheets", "--plan", planned, "--yard", yard, "--out", out),
        *("--crew", known[0].upper(), "--days", "31"),
    )
    assert ran.code == 0, ran.err
    assert not [path for path in out.iterdir() if path.name.startswith("traveller-")]
    for path in out.glob("sheet-*"):
        assert path.read_text("utf-8").count("<section") == 1


@pytest.mark.parametrize(
    ("option", "value", "said"),
    [
        ("--day", "2020-01-01", "--day 2020-01-01: the plan has work from"),
        ("--day", "soon", "not a date"),
        ("--days", "32", "more than 31"),
        ("--boat", "B999", "no order B999 in this plan"),
        ("--crew", "divers", "--crew divers: the crews of this plan are"),
    ],
)
def test_what_the_plan_does_not_have_is_refused(
    hullpace: Hullpace, planned: Path, yard: Path, option: str, value: str, said: str
) -> None:
    """One clear line and exit code 2."""
    ran = hullpace("sheets", "--plan", planned, "--yard", yard, option, value)
    assert ran.code == 2
    assert said in ran.err


def test_a_plan_that_breaks_a_rule_is_not_printed(
    hullpace: Hullpace, planned: Path, yard: Path, out: Path
) -> None:
    """A shortened cure never reaches the floor: exit code 1 and no file."""
    document = json.loads(planned.read_text("utf-8"))
    for wait in document["problem"]["waits"]:
        wait["min_minutes"] += 24 * 60 if wait["kind"] == "cure" else 0
    planned.write_text(json.dumps(document), encoding="utf-8")
    ran = hullpace("sheets", "--plan", planned, "--yard", yard, "--out", out)
    assert ran.code == 1
    assert "nothing was printed" in ran.out
    assert not out.exists()


def test_without_the_yards_files_codes_and_all_cautions_are_printed(
    hullpace: Hullpace, planned: Path, tmp_path: Path, out: Path
) -> None:
    """A plan file alone is enough, and what is missing is said."""
    ran = hullpace("sheets", "--plan", planned, "--yard", tmp_path, "--out", out)
    assert ran.code == 0, ran.err
    assert "No yard.toml" in ran.out
    (page,) = out.glob("sheet-*")
    assert "all of them are printed" in page.read_text("utf-8")
