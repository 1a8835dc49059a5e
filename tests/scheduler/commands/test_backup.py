"""`hullpace backup`."""

from __future__ import annotations

from pathlib import Path

from tests.scheduler.commands.conftest import Hullpace


def test_a_copy_is_made_and_told(
    hullpace: Hullpace, yard: Path, tmp_path: Path
) -> None:
    """The copy is a store that other commands can read."""
    hullpace("load", "--yard", yard)
    ran = hullpace("backup", tmp_path / "copy.db", "--yard", yard)
    assert ran.code == 0, ran.err
    assert ran.out.startswith(f"{tmp_path / 'copy.db'}: 1 entry of the log of ")
    ran = hullpace("load", "--yard", yard, "--store", tmp_path / "copy.db")
    assert ran.lines[-1] == "Nothing has changed."


def test_a_file_is_not_written_over(
    hullpace: Hullpace, yard: Path, tmp_path: Path
) -> None:
    """A second backup needs a second name; without a store there is none at all."""
    ran = hullpace("backup", tmp_path / "copy.db", "--yard", yard)
    assert ran.code == 2
    assert "no store at" in ran.err
    hullpace("load", "--yard", yard)
    hullpace("backup", tmp_path / "copy.db", "--yard", yard)
    ran = hullpace("backup", tmp_path / "copy.db", "--yard", yard)
    assert ran.code == 2
    assert "is there already" in ran.err
