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


def test_new_models(hullpace: Hullpace, tmp_path: Path) -> None:
    """`--learning` makes every model new; a rate that cannot be is refused."""
    out = tmp_path / "new"
    ran = hullpace("sample", "--boats", "4", "--learning", "0.9", "--out", out)
    assert ran.code == 0, ran.err
    hours = hullpace("hours", "--yard", out, "--model", "quillet-23")
    assert "unit curve, 90 %" in hours.out
    ran = hullpace(
        "sample", "--boats", "4", "--learning", "90", "--out", tmp_path / "wrong"
    )
    assert ran.code == 2
    assert "a rate from 0.6 to 1" in ran.err
