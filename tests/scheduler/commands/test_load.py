"""`hullpace load`."""

from __future__ import annotations

import json
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


def change(yard: Path, old: str, new: str) -> None:
    """Change a text in the book, which must occur."""
    text = (yard / "orders.csv").read_text("utf-8")
    assert old in text
    (yard / "orders.csv").write_text(text.replace(old, new, 1), "utf-8")


def test_a_dry_run_writes_nothing(hullpace: Hullpace, yard: Path) -> None:
    """A dry run says what would be kept and makes no store."""
    ran = hullpace("load", "--dry-run", "--yard", yard)
    assert ran.code == 0, ran.err
    assert "holds nothing yet" in ran.lines[-1]
    assert not (yard / "yard.db").exists()


def test_the_store_lies_beside_the_yard(hullpace: Hullpace, yard: Path) -> None:
    """Without --store the yard's folder holds it; the same files change nothing."""
    ran = hullpace("load", "--yard", yard)
    assert ran.code == 0, ran.err
    assert ran.lines[-1].endswith("the yard and 2 orders loaded, as load 1.")
    before = (yard / "yard.db").read_bytes()
    again = hullpace("load", "--yard", yard)
    assert again.code == 0, again.err
    assert again.lines[-1] == "Nothing has changed."
    assert (yard / "yard.db").read_bytes() == before


def test_a_change_is_shown_before_it_is_kept(hullpace: Hullpace, yard: Path) -> None:
    """Whoever would change an order gets the command that does, and it does."""
    hullpace("load", "--yard", yard)
    change(yard, "2027-04-16", "2027-04-23")
    for ran in (
        hullpace("load", "--yard", yard, "--dry-run"),
        hullpace("load", "--yard", yard),
    ):
        assert "2027-04-16 → 2027-04-23" in ran.out
        assert ran.lines[-1].endswith("--after 1")
    assert ran.code == 1
    kept = hullpace("load", "--yard", yard, "--after", "1")
    assert kept.code == 0, kept.err
    assert kept.lines[-1] == "Kept, as load 2."


def test_the_second_of_two_people_is_told(hullpace: Hullpace, yard: Path) -> None:
    """An order that another has changed since is one clear line and exit code 1."""
    hullpace("load", "--yard", yard)
    change(yard, "2027-04-16", "2027-04-23")
    hullpace("load", "--yard", yard, "--after", "1")
    change(yard, "2027-04-23", "2027-04-30")
    ran = hullpace("load", "--yard", yard, "--after", "1")
    assert ran.code == 1
    assert ran.out == ""
    assert len(ran.err.splitlines()) == 1
    assert "in load 2" in ran.err
    assert "hullpace load --dry-run" in ran.err


def test_changes_as_an_object(hullpace: Hullpace, yard: Path) -> None:
    """`--json` prints what was compared and what changes, for other programs."""
    ran = hullpace("load", "--yard", yard, "--json")
    told = json.loads(ran.out)
    assert (told["base"], told["load"], told["loaded"]) == (0, 1, True)
    assert {one["what"] for one in told["changes"]} == {"added"}


def test_an_address_that_is_none(hullpace: Hullpace, yard: Path) -> None:
    """A wrong --store is one clear line."""
    ran = hullpace("load", "--yard", yard, "--store", "ftp://a/b")
    assert ran.code == 2
    assert ran.err.startswith("hullpace: --store: ftp is no kind of store")


def test_a_yard_that_is_not_there(hullpace: Hullpace, tmp_path: Path) -> None:
    """A wrong folder is one clear line."""
    ran = hullpace("load", "--dry-run", "--yard", tmp_path / "none")
    assert ran.code == 2
    assert ran.err.startswith("hullpace: no yard at ")
    assert len(ran.err.splitlines()) == 1


def test_a_template_can_be_loaded(
    hullpace: Hullpace, yard: Path, tmp_path: Path
) -> None:
    """The workbook that `--template` writes loads as it is, with no order in it."""
    path = tmp_path / "new" / "orders.xlsx"
    ran = hullpace("load", "--yard", yard, "--template", path)
    assert ran.code == 0, ran.err
    read = hullpace("load", "--dry-run", "--yard", yard, "--orders", path)
    assert read.code == 0, read.err
    assert "0 orders" in read.out
    again = hullpace("load", "--yard", yard, "--template", path)
    assert (again.code, "is there already" in again.err) == (2, True)
    other = hullpace("load", "--yard", yard, "--template", tmp_path / "orders.csv")
    assert (other.code, "does not end in .xlsx" in other.err) == (2, True)


def test_a_boat_in_its_mold_is_missed(hullpace: Hullpace, loaded: Path) -> None:
    """A row that was forgotten is told of, already where changes are only shown."""
    orders = loaded.parents[1] / "yard" / "orders.csv"
    rows = orders.read_text("utf-8").splitlines(keepends=True)
    orders.write_text("".join(row for row in rows if not row.startswith("B-1,")))
    for name in ("in_hand.csv", "arrivals.csv"):
        other = orders.with_name(name)
        other.write_text(other.read_text("utf-8").splitlines(keepends=True)[0])
    for words in ((), ("--dry-run",), ("--after", "1")):
        ran = hullpace("load", "--yard", orders.parent, *words)
        assert ran.code == 2
        told, count = ran.err.splitlines()
        assert told.startswith("the order book: order B-1: found no row, while its")
        assert count == "1 fault; nothing was loaded."
