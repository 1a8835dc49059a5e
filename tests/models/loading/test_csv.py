"""CSV: columns by name, rows as a spreadsheet counts them."""

from __future__ import annotations

import pytest

from models.errors import DataFaults, Fault
from models.loading.csv import Table, parse_csv
from models.loading.faults import FaultLog
from models.loading.orders import ArrivalRow

HEADER = "order,operation,item,expected,confirmed,arrived"
ROW = "B-1,final.rig,engine,2027-03-08,,"


def parse(text: str) -> tuple[Table[ArrivalRow], tuple[Fault, ...]]:
    """Parse arrivals; give what was read and the faults."""
    log = FaultLog()
    table = parse_csv(text, ArrivalRow, "arrivals.csv", log)
    try:
        log.raise_if_any()
    except DataFaults as error:
        return table, error.faults
    return table, ()


@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_line_endings(ending: str) -> None:
    """Every way of ending a line reads the same."""
    table, faults = parse(ending.join([HEADER, ROW, ""]))
    assert faults == ()
    assert [line.value.item for line in table.good] == ["engine"]


def test_columns_in_any_order() -> None:
    """Columns go by their names, not their order."""
    table, faults = parse(
        "item,order,operation,arrived,confirmed,expected\nengine,B-1,final.rig,,,\n"
    )
    assert faults == ()
    assert table.good[0].value.order == "B-1"


def test_blank_rows_keep_their_numbers() -> None:
    """Blank rows are skipped, yet rows are numbered as in a spreadsheet."""
    table, faults = parse(f"\n{HEADER}\n\n,,,,,\n{ROW}\n")
    assert faults == ()
    assert [line.row for line in table.good] == [5]


def test_white_space_is_not_part_of_a_cell() -> None:
    """Spaces around cells and names of columns are ignored."""
    table, faults = parse("order , operation,item,expected,confirmed,arrived\n" + ROW)
    assert faults == ()
    assert table.good[0].value.operation == "final.rig"


def test_quotes() -> None:
    """A cell in quotes may hold a comma."""
    table, faults = parse(f'{HEADER}\nB-1,final.rig,"engine, 150",,,2027-01-04\n')
    assert faults == ()
    assert table.good[0].value.item == "engine, 150"


@pytest.mark.parametrize(
    ("mark", "name"), [(";", "semicolons"), ("\t", "tabs")], ids=["semicolon", "tab"]
)
def test_other_separators(mark: str, name: str) -> None:
    """Columns parted by anything but commas are one fault that says so."""
    table, faults = parse(f"{HEADER}\n{ROW}\n".replace(",", mark))
    assert [fault.found for fault in faults] == [f"columns parted by {name}"]
    assert not table.complete


def test_columns_twice_unknown_and_missing() -> None:
    """A column that comes twice, is unknown or is missing is each a fault."""
    _, faults = parse("order,order,operation,itme,expected,confirmed\n")
    assert [fault.found for fault in faults] == [
        "column 'order' twice",
        "unknown column 'itme'",
        "no column 'item'",
        "no column 'arrived'",
    ]
    assert "did you mean 'item'?" in faults[1].expected


def test_ragged_row() -> None:
    """A row with too many or too few cells is a fault and no guess."""
    table, faults = parse(f"{HEADER}\n{ROW},\n{ROW[:-1]}\n")
    assert [(fault.where, fault.found) for fault in faults] == [
        ("row 2", "7 cells"),
        ("row 3", "5 cells"),
    ]
    assert table.good == ()
    assert [row["order"] for row in table.bad] == ["B-1", "B-1"]


def test_broken_quotes() -> None:
    """A quote that never closes is a fault with its row."""
    _, faults = parse(f'{HEADER}\nB-1,final.rig,"engine,,,\n')
    assert [fault.where for fault in faults] == ["row 2"]


def test_every_cell_of_a_row() -> None:
    """All wrong cells of a row are told at once."""
    _, faults = parse(f"{HEADER}\nB/1,final.rig,a>b,soon,2027-02-30,\n")
    assert [fault.where for fault in faults] == [
        "row 2, order",
        "row 2, item",
        "row 2, expected",
        "row 2, confirmed",
    ]
