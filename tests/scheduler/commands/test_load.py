"""`hullpace load`."""

from __future__ import annotations

from pathlib import Path

from models.errors import DataFaults
from models.loading import load_book
from tests.scheduler.commands.conftest import Hullpace


def test_a_sound_yard_is_counted(hullpace: Hullpace, yard: Path) -> None:
    """A dry run says what was read and how much of it."""
    ran = hullpace("load", "--dry-run", "--yard", yard)
    assert ran.code == 0
    assert "Little Yard" in ran.out
    assert "no fault" in ran.out
    assert "orders.csv" in ran.out
    assert "2 orders, 1 of them promised" in ran.out


def test_several_order_files_are_read_together(
    hullpace: Hullpace, yard: Path, tmp_path: Path
) -> None:
    """`--orders` may be repeated."""
    head, _, second = (yard / "orders.csv").read_text("utf-8").splitlines()
    more = tmp_path / "more.csv"
    more.write_text(f"{head}\n{second.replace('B-2', 'B-3')}\n", "utf-8")
    ran = hullpace(
        "load", "--dry-run", "--yard", yard, "--orders", yard / "orders.csv",
        "--orders", more,
    )  # fmt: skip
    assert ran.code == 0, ran.err
    assert "3 orders" in ran.out


def test_every_fault_is_told(hullpace: Hullpace, yard: Path) -> None:
    """Each fault is a line of its own; the exit code is 2 and nothing is loaded."""
    text = (yard / "orders.csv").read_text("utf-8")
    (yard / "orders.csv").write_text(
        text.replace("hard-top", "hard-tpo").replace("2027-04-16", "2027-02-30"),
        "utf-8",
    )
    try:
        load_book(yard)
        expected: list[str] = []
    except DataFaults as faults:
        expected = [str(one) for one in faults.faults]
    assert len(expected) > 1
    ran = hullpace("load", "--dry-run", "--yard", yard)
    assert ran.code == 2
    assert ran.out == ""
    *told, total = ran.err.splitlines()
    assert told == expected
    assert total == f"{len(expected)} faults; nothing was loaded."


def test_there_is_no_store_yet(hullpace: Hullpace, yard: Path) -> None:
    """Without a dry run the command says that it cannot, and ends with 2."""
    ran = hullpace("load", "--yard", yard)
    assert ran.code == 2
    assert "no store yet" in ran.err


def test_a_yard_that_is_not_there(hullpace: Hullpace, tmp_path: Path) -> None:
    """A wrong folder is one clear line."""
    ran = hullpace("load", "--dry-run", "--yard", tmp_path / "none")
    assert ran.code == 2
    assert ran.err.startswith("hullpace: no yard at ")
    assert len(ran.err.splitlines()) == 1
