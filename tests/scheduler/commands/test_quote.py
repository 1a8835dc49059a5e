"""`hullpace quote`."""

from __future__ import annotations

import json
from datetime import date, timedelta
from pathlib import Path

import pytest

from tests.scheduler.commands.conftest import Hullpace


def test_a_date_and_its_reason(hullpace: Hullpace, planned: Path, yard: Path) -> None:
    """The date comes with the planned finish and what it waits for."""
    asked = ("quote", "--yard", yard, "--plan", planned, "--model", "skiff-16")
    ran = hullpace(*asked, "--options", "hard-top")
    assert ran.code == 0, ran.err
    assert "skiff-16 with hard-top: ready to promise for 20" in ran.out
    assert "no operation of another boat moves" in ran.out.replace("\n", " ")
    found = json.loads(hullpace(*asked, "--options", "hard-top", "--json").out)
    assert found["alone"] <= found["finish"] <= found["proposed"]


def test_a_wanted_date_is_answered(
    hullpace: Hullpace, planned: Path, yard: Path
) -> None:
    """The nearest date itself can be kept (0); a day before it cannot (1)."""
    asked = ("quote", "--yard", yard, "--plan", planned, "--model", "skiff-16")
    nearest = date.fromisoformat(json.loads(hullpace(*asked, "--json").out)["proposed"])
    yes = hullpace(*asked, "--wanted", nearest.isoformat())
    assert (yes.code, yes.lines[0].split(":")[0]) == (0, "Yes")
    before = (nearest - timedelta(days=1)).isoformat()
    no = hullpace(*asked, "--wanted", before)
    assert (no.code, no.lines[0].split(":")[0]) == (1, "No")
    assert f"nearest date {nearest}" in no.lines[0]


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (("--model", "skif-16"), "did you mean 'skiff-16'?"),
        (("--model", "skiff-16", "--options", "canvas-tpo"), "canvas-top"),
        (("--model", "skiff-16", "--wanted", "2027-02-30"), "not a date"),
    ],
)
def test_what_cannot_be_asked(
    hullpace: Hullpace, planned: Path, yard: Path, more: tuple[str, ...], said: str
) -> None:
    """An unknown model or option, or a date that does not exist, is bad input."""
    ran = hullpace("quote", "--yard", yard, "--plan", planned, *more)
    assert ran.code == 2
    assert said in ran.err


def test_without_a_plan(hullpace: Hullpace, yard: Path, tmp_path: Path) -> None:
    """Without a plan there is no date; the line says how to make one."""
    ran = hullpace(
        "quote", "--yard", yard, "--plan", tmp_path / "no.json", "--model", "skiff-16"
    )
    assert ran.code == 2
    assert "hullpace plan" in ran.err
