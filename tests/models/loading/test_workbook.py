"""Workbooks: read like CSV files, by a child that hostile ones cannot make suffer."""

from __future__ import annotations

import random
from datetime import date, datetime
from pathlib import Path

import pytest

from models.errors import DataFaults
from models.loading import load_book
from models.loading.csv import Unusable
from models.loading.faults import FaultLog
from models.loading.workbook import Sheet, read_sheets
from tests.models.loading.conftest import TinyYard
from tests.models.loading.workbooks import (
    HEADS,
    changed,
    orders,
    with_entries,
    workbook,
)

KNOWN = frozenset({"orders", "arrivals", "in_hand", "locks"})
SHEET = "xl/worksheets/sheet1.xml"


def sheets_of(content: bytes) -> dict[str, Sheet]:
    """Read a workbook that has no fault."""
    log = FaultLog()
    found = read_sheets(content, "book.xlsx", KNOWN, log)
    log.raise_if_any()
    assert found is not None
    return found


def fault_of(content: bytes, child: Path | None = None, seconds: float = 60) -> str:
    """Read a workbook that must not be read, and give the one fault."""
    log = FaultLog()
    more = {} if child is None else {"child": child}
    found = read_sheets(content, "book.xlsx", KNOWN, log, seconds=seconds, **more)
    assert found is None
    with pytest.raises(DataFaults) as raised:
        log.raise_if_any()
    (fault,) = raised.value.faults
    return str(fault)


def test_cells_read_as_in_a_csv_file() -> None:
    """Days, times, numbers and blanks come as the text that a CSV file would hold."""
    row = [
        *("B-1", date(2027, 3, 9), datetime.fromisoformat("2027-03-09T06:30")),
        *(2, 2.0, 2.5, None),
        *(True, "  a; b ", "2027-03-09", "0001"),
    ]
    content = workbook({"orders": [["x"], [], row]})
    assert sheets_of(content)["orders"].rows == [
        (1, ["x"]),
        (3, ["B-1", "2027-03-09", "2027-03-09T06:30", "2", "2", "2.5", "", "true",
             "a; b", "2027-03-09", "0001"]),
    ]  # fmt: skip


def test_cv_162_a_serial_day() -> None:
    """A day is stored as its serial number and comes back as the same day.

    CV-162: 2026-01-01 is 46023 in the 1900 system. Derived.
    """
    content = workbook({"orders": [["x"], [date(2026, 1, 1)]]})
    seen: list[bytes] = []

    def look(name: str, body: bytes) -> bytes:
        seen.extend([body] if name == SHEET else [])
        return body

    changed(content, look)
    assert b"<v>46023</v>" in seen[0]
    assert sheets_of(content)["orders"].rows[1] == (2, ["2026-01-01"])


def test_formulas_and_errors_are_no_values() -> None:
    """What a formula comes to is not for sure in the file, so it is refused."""
    content = workbook({"orders": [["x", "y"], ["=1+1", "#N/A"]]})
    (_, cells) = sheets_of(content)["orders"].rows[1]
    assert [isinstance(cell, Unusable) for cell in cells] == [True, True]
    assert str(cells[1]).count("#N/A") == 1


def test_sheets_by_name() -> None:
    """Capitals and spaces do not matter; notes are left aside, others are a fault."""
    content = workbook({"Orders": [["x"]], "In hand": [["y"]], "Notes": [["z"]]})
    assert set(sheets_of(content)) == {"orders", "in_hand"}
    log = FaultLog()
    read_sheets(workbook({"order": [["x"]], "empty": []}), "b.xlsx", KNOWN, log)
    with pytest.raises(DataFaults, match="did you mean 'orders'"):
        log.raise_if_any()
    assert log.count == 1


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"order,model\n", "content that is no workbook"),
        (b"\xd0\xcf\x11\xe0" + b"\0" * 600, "password"),
        (with_entries(orders(), {"big.bin": b"\0" * 65_000_000}), "bytes unpacked"),
        (with_entries(orders(), {"zeros.bin": b"\0" * 20_000_000}), "bytes unpacked"),
        (
            with_entries(orders(), {f"{n}.bin": b"" for n in range(201)}),
            "entries in the package",
        ),
        (
            with_entries(
                orders(),
                {"xl/more.xml": b'<!DOCTYPE x [<!ENTITY a "aaaa">]><x>&a;</x>'},
            ),
            "declarations of its own",
        ),
        (
            with_entries(
                orders(), {"xl/more.xml": '<!DOCTYPE x><x/>'.encode("utf-16")}
            ),
            "declarations of its own",
        ),
        (changed(orders(), lambda name, body: None if name == SHEET else body),
         "1 sheets missing"),
        (changed(orders(), lambda name, body: body[:90] if name == SHEET else body),
         "a damaged workbook"),
        (workbook({"orders": [["x"] * 65]}), "65 columns"),
        (workbook({"orders": [["x"]] * 5001}), "more than 5,000 rows"),
        (workbook({f"s{n}": [] for n in range(21)}), "21 sheets"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)  # fmt: skip
def test_what_is_refused(content: bytes, said: str) -> None:
    """Bombs, damage and sizes beyond a book of orders are one clear line each."""
    assert said in fault_of(content)


def test_cells_far_apart_are_seen() -> None:
    """A cell in the last row and column that a sheet can have is not overlooked."""
    content = workbook({"orders": [["x"], ["y"]]})
    far = changed(
        content,
        lambda name, body: (
            body.replace(b'"A2"', b'"XFD1048576"').replace(b'r="2"', b'r="1048576"')
            if name == SHEET
            else body
        ),
    )
    said = fault_of(far)
    assert "16,384 columns" in said
    assert "row 1048576" in said


def test_a_size_that_is_not_true_does_not_matter() -> None:
    """The stated extent of a sheet is not believed."""
    content = changed(
        workbook({"orders": [["x"], ["y"]]}),
        lambda name, body: (
            body.replace(b'"A1:A2"', b'"A1:XFD1048576"') if name == SHEET else body
        ),
    )
    assert sheets_of(content)["orders"].rows == [(1, ["x"]), (2, ["y"])]


@pytest.mark.parametrize(
    ("program", "seconds"),
    [
        ("import time\ntime.sleep(60)", 0.5),
        ("import os, signal\nos.kill(os.getpid(), signal.SIGKILL)", 60),
        ("raise SystemExit(3)", 60),
    ],
    ids=["too-long", "killed", "silent"],
)
def test_a_child_that_does_not_answer(
    tmp_path: Path, program: str, seconds: float
) -> None:
    """A reader that hangs, is killed or says nothing is a fault, never a crash."""
    child = tmp_path / "child.py"
    child.write_text(program, encoding="utf-8")
    assert "too long or too much memory" in fault_of(orders(), child, seconds)


def test_the_child_may_not_take_more_than_its_share(tmp_path: Path) -> None:
    """Its limits hold: a gigabyte and a file are refused to it."""
    own = Path(__file__).parents[3] / "models/loading/workbook_child.py"
    child = tmp_path / "child.py"
    child.write_text(
        f"import sys; sys.path.insert(0, {str(own.parent)!r})\n"
        "import workbook_child, signal\n"
        "workbook_child.limit()\n"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\n"
        "found = []\n"
        "try:\n    bytearray(1 << 30)\n"
        "except MemoryError:\n    found.append('memory')\n"
        f"try:\n    open({str(tmp_path / 'x')!r}, 'w').write('x' * 9999)\n"
        "except OSError:\n    found.append('file')\n"
        "fault = ['file', ' '.join(found), 'no']\n"
        "import json; json.dump({'fault': fault}, sys.stdout)\n",
        encoding="utf-8",
    )
    assert "memory file" in fault_of(orders(), child)


def test_mutated_workbooks_never_do_harm() -> None:
    """Bytes changed at random give sheets or faults, never anything else."""
    plain, rng = orders(["B-1", "C-1", "skiff-16"]), random.Random(5)
    for _ in range(12):
        body = bytearray(plain)
        for _ in range(rng.choice([1, 4, 40])):
            body[rng.randrange(len(body))] = rng.randrange(256)
        log = FaultLog()
        found = read_sheets(bytes(body), "book.xlsx", KNOWN, log)
        assert found is not None or log.count


ROWS = (
    ["B-1", "C-1", "skiff-16", "hard-top;top-lights", None, date(2027, 4, 2),
     date(2027, 4, 2), date(2027, 2, 15), 1],
    ["B-2", "C-2", "skiff-16", "canvas-top", "sweep", date(2027, 4, 16), None, None, 2,
     "D-1"],
)  # fmt: skip


def test_a_workbook_is_the_same_book_as_a_csv_file(tiny: TinyYard) -> None:
    """Orders on a sheet load as the same orders in a CSV file."""
    plain = load_book(tiny.folder)
    (tiny.folder / "orders.csv").unlink()
    tiny.write("orders.xlsx", orders(*ROWS))
    book = load_book(tiny.folder)
    assert book.orders == plain.orders
    assert (book.arrivals, book.in_hand) == (plain.arrivals, plain.in_hand)
    assert "orders.xlsx" in (book.sources or {})


def test_faults_name_sheet_and_row(tiny: TinyYard) -> None:
    """Messages are those of a CSV file, with the sheet before the row."""
    (tiny.folder / "orders.csv").unlink()
    wrong = [list(row) for row in ROWS]
    wrong[0][2], wrong[1][8], wrong[1][5] = "skiff-61", 12, "4/16/2027"
    tiny.write("orders.xlsx", orders(*wrong))
    assert [str(fault) for fault in tiny.faults()] == [
        "orders.xlsx: sheet orders, row 3, wanted: found '4/16/2027'; expected a date "
        "as year-month-day, such as 2027-03-09",
        "orders.xlsx: sheet orders, row 3, weight: found '12'; expected at most 9",
        "orders.xlsx: sheet orders, row 2, model: found 'skiff-61'; expected a model "
        "with a file in boats; did you mean 'skiff-16'?",
    ]


def test_other_sheets_are_read_too(tiny: TinyYard) -> None:
    """Arrivals of a chosen workbook go with its orders."""
    arrivals = [
        ["order", "operation", "item", "expected", "confirmed", "arrived"],
        ["B-9", "final.rig", "outboard", date(2027, 3, 1), None, None],
    ]
    order = ["B-9", "C-9", "skiff-16", None, None, date(2027, 6, 1)]
    content = workbook({"orders": [HEADS, order], "arrivals": arrivals})
    more = tiny.write("week/new.xlsx", content)
    book = load_book(tiny.folder, [tiny.folder / "orders.csv", more])
    assert [one.order for one in book.orders] == ["B-1", "B-2", "B-9"]
    assert book.arrivals[-1].item == "outboard"


def test_a_row_that_is_too_long(tiny: TinyYard) -> None:
    """A cell beyond the named columns is told, without advice about commas."""
    fault = tiny.fault(tiny.write("more.xlsx", orders([*ROWS[1], "n", "beyond"])))
    assert fault.where == "sheet orders, row 2"
    assert (fault.found, fault.expected) == ("12 cells", "11 as in row 1")
