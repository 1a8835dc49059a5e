"""`hullpace check`."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

from tests.scheduler.commands.conftest import Hullpace


def changed(path: Path, change: Callable[[dict[str, Any]], None]) -> Path:
    """A copy of a plan file with something changed in it."""
    document = json.loads(path.read_text("utf-8"))
    change(document)
    copy = path.with_name("changed.json")
    copy.write_text(json.dumps(document), "utf-8")
    return copy


def test_a_sound_plan(hullpace: Hullpace, planned: Path, yard: Path) -> None:
    """A plan that keeps every rule and agrees with its data ends with 0."""
    ran = hullpace("check", planned, "--yard", yard)
    assert ran.code == 0
    assert "keep every rule, and agree with" in ran.out


def test_a_broken_plan(hullpace: Hullpace, planned: Path) -> None:
    """Every violation is a sentence; the exit code is 1."""

    def drop(document: dict[str, Any]) -> None:
        document["answer"]["operations"].pop()

    ran = hullpace("check", changed(planned, drop))
    assert ran.code == 1
    assert ran.lines[-1].endswith("This plan must not be worked to.")
    assert all(line.endswith(".") for line in ran.lines)
    assert len(ran.lines) > 1


def test_a_plan_for_other_data(hullpace: Hullpace, planned: Path, yard: Path) -> None:
    """A wait left out of the problem passes the rules, but not the comparison."""

    def leave_out(document: dict[str, Any]) -> None:
        document["problem"]["waits"].pop()

    copy = changed(planned, leave_out)
    assert hullpace("check", copy).code == 0
    ran = hullpace("check", copy, "--yard", yard)
    assert ran.code == 1
    assert "is in the data, but not in the plan." in ran.out


def test_no_plan_at_all(hullpace: Hullpace, tmp_path: Path) -> None:
    """A missing file, a folder and a text that is no plan are bad input: 2."""
    text = tmp_path / "text.json"
    text.write_text("[1, 2]", "utf-8")
    for path in (tmp_path / "none.json", tmp_path, text):
        ran = hullpace("check", path)
        assert ran.code == 2, path
        assert len(ran.err.splitlines()) == 1


def test_a_damaged_plan_is_no_traceback(
    hullpace: Hullpace, planned: Path, tmp_path: Path
) -> None:
    """Commands that read a plan say that it is damaged, and what to do."""

    def damage(document: dict[str, Any]) -> None:
        del document["answer"]["orders"]

    copy = changed(planned, damage)
    assert hullpace("check", copy).code == 1
    ran = hullpace("export", "--plan", copy, "--out", tmp_path / "tables")
    assert ran.code == 2
    assert "is damaged" in ran.err
    assert not (tmp_path / "tables").exists()
