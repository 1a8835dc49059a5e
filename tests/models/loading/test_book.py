"""All files together: merged books, side files, sources, and every fault at once."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest

from models.errors import DataFaults
from models.loading import load_book
from tests.models.loading.conftest import TinyYard

HEADER = "order,customer_ref,model,options,graphics,wanted,promised,release\n"


def test_sources(tiny: TinyYard) -> None:
    """Each file read has its SHA-256 by its name relative to the yard."""
    week = tiny.write("week/orders.csv", HEADER + "W-1,C-3,skiff-16,,,,,\n")
    book = load_book(tiny.folder, [tiny.folder / "orders.csv", week])
    names = ["yard.toml", "boats/skiff-16.toml", "orders.csv", "week/orders.csv"]
    names += ["arrivals.csv", "in_hand.csv", "locks.csv"]
    assert book.sources == {
        name: hashlib.sha256((tiny.folder / name).read_bytes()).hexdigest()
        for name in names
    }


def test_files_outside_the_yard(tiny: TinyYard) -> None:
    """A file outside the yard's folder is named as it was given, in words of a user.

    What a book was made from is named from the yard: a plan file travels.
    """
    line = "W-1,C-3,{},,,,,\n"
    other = tiny.write("../desk/orders.csv", HEADER + line.format("skiff-17"))
    assert tiny.fault(other).file == other.as_posix()
    tiny.write("../desk/orders.csv", HEADER + line.format("skiff-16"))
    assert "../desk/orders.csv" in (load_book(tiny.folder, [other]).sources or {})


def test_orders_of_several_files(tiny: TinyYard) -> None:
    """Orders of several files make one book, in the order of the files."""
    week = tiny.write("week/orders.csv", HEADER + "W-1,C-3,skiff-16,,,,,\n")
    book = load_book(tiny.folder, [tiny.folder / "orders.csv", week])
    assert [order.order for order in book.orders] == ["B-1", "B-2", "W-1"]


def test_an_order_in_two_files(tiny: TinyYard) -> None:
    """An order that comes in two files is a fault that names both places."""
    week = tiny.write("week/orders.csv", HEADER + "B-2,C-3,skiff-16,,,,,\n")
    fault = tiny.fault(tiny.folder / "orders.csv", week)
    assert (fault.file, fault.where) == ("week/orders.csv", "row 2, order")
    assert fault.expected == "each order once (first in orders.csv, row 3)"


def test_side_files_of_each_folder(tiny: TinyYard) -> None:
    """Arrivals beside a file of orders are read with those of the yard."""
    week = tiny.write("week/orders.csv", HEADER + "W-1,C-3,skiff-16,,,,,\n")
    tiny.write(
        "week/arrivals.csv",
        "order,operation,item,expected,confirmed,arrived\n"
        "W-1,final.rig,engine,2027-04-01,,\n",
    )
    book = load_book(tiny.folder, [tiny.folder / "orders.csv", week])
    assert [one.order for one in book.arrivals] == ["B-1", "W-1"]


def test_a_book_that_was_not_asked_for(tiny: TinyYard) -> None:
    """Rows about orders of the yard's own book are left out if it is not read."""
    week = tiny.write("week/orders.csv", HEADER + "W-1,C-3,skiff-16,,,,,\n")
    book = load_book(tiny.folder, [week])
    assert [order.order for order in book.orders] == ["W-1"]
    assert book.arrivals == book.in_hand == book.locks == ()


def test_rows_of_no_book_stay_faults(tiny: TinyYard) -> None:
    """Rows about an order that no book has are faults, whatever was asked for."""
    week = tiny.write("week/orders.csv", HEADER + "W-1,C-3,skiff-16,,,,,\n")
    tiny.replace("arrivals.csv", "B-1", "B-7")
    assert tiny.fault(week).found == "'B-7'"
    (tiny.folder / "orders.csv").unlink()
    assert {fault.where.split()[2] for fault in tiny.faults(week)} == {"order"}


def test_side_files_are_optional(tiny: TinyYard) -> None:
    """A yard may have no arrivals, no work in hand and no locks."""
    for name in ("arrivals.csv", "in_hand.csv", "locks.csv"):
        (tiny.folder / name).unlink()
    book = load_book(tiny.folder)
    assert book.arrivals == book.in_hand == book.locks == ()


def test_every_fault_of_every_file(tiny: TinyYard) -> None:
    """One loading tells all faults, file by file, in the order of reading."""
    tiny.replace("yard.toml", "breaks_relieved", "breaks_releived")
    tiny.replace("yard.toml", 'start = "14:30", end = "22:30"', 'start = "x", end = ""')
    tiny.replace("yard.toml", 'skills = ["rig"]', 'skills = ["rigg"]')
    tiny.replace("boats/skiff-16.toml", "14.0", "-14.0")
    tiny.replace("boats/skiff-16.toml", 'station = "booth"', 'station = "both"')
    tiny.replace("orders.csv", "2027-04-16", "2027-02-30")
    tiny.replace("orders.csv", "hard-top;", "")
    tiny.replace("arrivals.csv", "final.rig", "final.rug")
    tiny.replace("in_hand.csv", ",4.5,", ',"4,5",')
    tiny.replace("locks.csv", "H16-1", "H16-2")
    told = [(fault.file, fault.where) for fault in tiny.faults()]
    assert told == [
        ("yard.toml", "calendars.shop.breaks_releived"),
        ("yard.toml", "calendars.late.shifts.1.start"),
        ("yard.toml", "calendars.late.shifts.1.end"),
        ("yard.toml", "people.RG-01.skills"),
        ("yard.toml", "skills.rig"),
        ("boats/skiff-16.toml", "quantities.hull_area_m2"),
        ("boats/skiff-16.toml", "operations.hull.gel_coat.station"),
        ("orders.csv", "row 3, wanted"),
        ("orders.csv", "row 2, options"),
        ("arrivals.csv", "row 2, operation"),
        ("in_hand.csv", "row 4, remaining_hours"),
    ]


def test_nothing_there(tiny: TinyYard) -> None:
    """A yard whose files are all missing says which it wants."""
    for path in sorted(tiny.folder.rglob("*"), reverse=True):
        path.rmdir() if path.is_dir() else path.unlink()
    told = [(fault.file, fault.found) for fault in tiny.faults()]
    assert told == [
        ("yard.toml", "no such file"),
        ("boats", "no model"),
        ("orders.csv", "no such file"),
    ]


def test_a_broken_model_is_not_unknown(tiny: TinyYard) -> None:
    """Orders of a model whose file has a fault are not blamed for it."""
    tiny.replace("boats/skiff-16.toml", "length_ft = 16", "length_ft = ")
    assert tiny.fault().file == "boats/skiff-16.toml"


def test_a_broken_yard_does_not_hide_other_files(tiny: TinyYard) -> None:
    """Where the yard cannot be read, models and orders are still checked."""
    tiny.replace("yard.toml", "tick_minutes = 15", "tick_minutes = 7")
    tiny.replace("boats/skiff-16.toml", '"hull_area_m2"', '"hul_area_m2"')
    tiny.replace("orders.csv", "canvas-top", "canvas-tpo")
    files = [fault.file for fault in tiny.faults()]
    assert files == ["yard.toml", "boats/skiff-16.toml", "orders.csv"]


def test_a_folder_that_is_not_there(tmp_path: Path) -> None:
    """One fault that names the folder, not one for each file that is not in it."""
    with pytest.raises(DataFaults) as raised:
        load_book(tmp_path / "nowhere")
    (fault,) = raised.value.faults
    assert fault.found == "no such folder"
    assert fault.file.endswith("nowhere")
