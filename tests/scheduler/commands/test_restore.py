"""`hullpace restore`."""

from __future__ import annotations

from pathlib import Path

from tests.scheduler.commands.conftest import Hullpace


def test_a_lost_store_comes_back(
    hullpace: Hullpace, loaded: Path, yard: Path, tmp_path: Path
) -> None:
    """Orders and the published plan are there again on a new machine."""
    hullpace("publish", loaded, "--yard", yard)
    hullpace("backup", tmp_path / "copy.db", "--yard", yard)
    (yard / "yard.db").unlink()
    ran = hullpace("restore", tmp_path / "copy.db", "--yard", yard)
    assert ran.code == 0, ran.err
    assert "2 entries of the log" in ran.out
    assert hullpace("load", "--yard", yard).lines[-1] == "Nothing has changed."
    same = hullpace("diff", "1", loaded, "--yard", yard)
    assert "The two plans are the same" in same.out


def test_what_is_there_is_set_aside(
    hullpace: Hullpace, yard: Path, tmp_path: Path
) -> None:
    """A store that holds something is only replaced once that is kept."""
    hullpace("load", "--yard", yard)
    hullpace("backup", tmp_path / "copy.db", "--yard", yard)
    ran = hullpace("restore", tmp_path / "copy.db", "--yard", yard)
    assert ran.code == 2
    assert "--set-aside FILE" in ran.err
    aside = tmp_path / "aside.db"
    ran = hullpace(
        "restore", tmp_path / "copy.db", "--yard", yard, "--set-aside", aside
    )
    assert ran.code == 0, ran.err
    assert ran.lines[-1] == f"What it held before: {aside}"
    assert aside.exists()


def test_no_backup_there(hullpace: Hullpace, yard: Path, tmp_path: Path) -> None:
    """A missing backup is one clear line."""
    ran = hullpace("restore", tmp_path / "none.db", "--yard", yard)
    assert ran.code == 2
    assert "no backup at" in ran.err
    assert not (yard / "yard.db").exists()  # no empty store for nothing


def test_a_backup_that_is_none(hullpace: Hullpace, yard: Path, tmp_path: Path) -> None:
    """A file of another kind is refused before a store is made."""
    (tmp_path / "copy.db").write_text("not a store\n" * 100, "utf-8")
    ran = hullpace("restore", tmp_path / "copy.db", "--yard", yard)
    assert ran.code == 2
    assert len(ran.err.splitlines()) == 1
    assert not (yard / "yard.db").exists()
