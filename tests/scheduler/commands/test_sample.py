"""`hullpace sample`."""

from __future__ import annotations

from pathlib import Path

from models.loading import load_book
from tests.scheduler.commands.conftest import Hullpace


def test_what_is_written_loads(hullpace: Hullpace, tmp_path: Path) -> None:
    """A sample yard is a sound yard with as many boats as asked for."""
    folder = tmp_path / "sample"
    ran = hullpace("sample", "--boats", "3", "--seed", "2", "--out", folder)
    assert ran.code == 0
    assert len(load_book(folder).orders) == 3


def test_a_yard_is_not_overwritten(hullpace: Hullpace, yard: Path) -> None:
    """A folder that holds a yard is left alone."""
    before = (yard / "yard.toml").read_bytes()
    ran = hullpace("sample", "--boats", "3", "--out", yard)
    assert ran.code == 2
    assert "holds a yard already" in ran.err
    assert (yard / "yard.toml").read_bytes() == before
