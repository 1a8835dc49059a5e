"""Reading rows of cells into rows of a schema, with every wrong cell as a fault.

CSV files are comma-separated UTF-8 with one row of column names. A row is named by its
number as a spreadsheet shows it, the column names being row 1. Blank rows are skipped;
white space around a cell is not part of it; `;` parts several values in one cell, so a
file whose columns are parted by `;` is a fault. Sheets of a workbook come the same way.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from pydantic import ValidationError

from models.loading.faults import FaultLog, one_of
from models.loading.fields import Row
from models.loading.shapes import report

Line = TypeVar("Line", bound=Row)


@dataclass(frozen=True, slots=True)
class Unusable:
    """A cell that holds no value, such as a formula of a workbook."""

    found: str
    expected: str


Cell = str | Unusable
Numbered = list[tuple[int, list[Cell]]]


@dataclass(frozen=True, slots=True)
class Read(Generic[Line]):
    """One good row and where it stands."""

    file: str
    row: int
    value: Line
    sheet: str = ""  # of a workbook

    @property
    def place(self) -> str:
        """Name the row."""
        return _place(self.sheet, self.row)

    def where(self, column: str) -> str:
        """Name one of the row's cells."""
        return f"{self.place}, {column}"


@dataclass(frozen=True, slots=True)
class Table(Generic[Line]):
    """A file's good rows, and the cells of the faulty ones.

    `complete` is False where the file as a whole could not be read.
    """

    good: tuple[Read[Line], ...] = ()
    bad: tuple[dict[str, str], ...] = ()
    complete: bool = True


def parse_csv(text: str, schema: type[Line], file: str, log: FaultLog) -> Table[Line]:
    """Parse a CSV document; whatever is not in the good rows has its fault."""
    return parse_rows(_rows(text, file, log), schema, file, log)


def parse_rows(
    numbered: Numbered, schema: type[Line], file: str, log: FaultLog, sheet: str = ""
) -> Table[Line]:
    """Parse numbered rows of cells, the names of the columns first."""
    names = [_text(name) for name in numbered[0][1]] if numbered else []
    where = _place(sheet, numbered[0][0]) if numbered else ""
    if not names or not _check_header(names, schema, where, file, log):
        return Table(complete=False)
    good: list[Read[Line]] = []
    bad: list[dict[str, str]] = []
    for number, cells in numbered[1:]:
        if not any(_text(cell) or isinstance(cell, Unusable) for cell in cells):
            continue
        raw = dict(zip(names, map(_text, cells)))
        unusable = {
            name: cell for name, cell in zip(names, cells) if isinstance(cell, Unusable)
        }
        place = _place(sheet, number)
        if len(cells) != len(names):
            expected = f"{len(names)} as in row {numbered[0][0]}"
            if not sheet:
                expected += (
                    " (a text or number that holds a comma needs quotes around it; "
                    "decimals take a point)"
                )
            log.add(file, place, f"{len(cells)} cells", expected)
            bad.append(raw)
            continue
        for name, cell in unusable.items():
            log.add(file, f"{place}, {name}", cell.found, cell.expected)
        try:
            value = schema.model_validate(raw)
        except ValidationError as error:
            details = [
                detail
                for detail in error.errors(include_url=False)
                if detail["loc"][0] not in unusable
            ]
            report(schema, dict(raw), details, file, log, f"{place}, ")
            bad.append(raw)
            continue
        if unusable:
            bad.append(raw)
        else:
            good.append(Read(file, number, value, sheet))
    return Table(tuple(good), tuple(bad))


def _place(sheet: str, row: int) -> str:
    return f"sheet {sheet}, row {row}" if sheet else f"row {row}"


def _text(cell: Cell) -> str:
    return cell.strip() if isinstance(cell, str) else ""


def _rows(text: str, file: str, log: FaultLog) -> Numbered:
    """Split into numbered rows; the first is the first that is not blank."""
    rows: Numbered = []
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    number = 0
    try:
        for number, cells in enumerate(reader, 1):
            if rows or any(cell.strip() for cell in cells):
                rows.append((number, [*cells]))
    except csv.Error as error:
        log.add(
            file,
            f"row {number + 1}",
            str(error),
            "comma-separated cells, with quotes only around whole cells",
        )
        return []
    return rows


def _check_header(
    names: Sequence[str], schema: type[Row], where: str, file: str, log: FaultLog
) -> bool:
    if len(names) == 1 and (";" in names[0] or "\t" in names[0]):
        mark = "semicolons" if ";" in names[0] else "tabs"
        expected = "commas (semicolons part several values in one cell)"
        log.add(file, where, f"columns parted by {mark}", expected)
        return False
    before = log.count
    known = schema.model_fields
    for index, name in enumerate(names):
        if name in names[:index]:
            log.add(file, where, f"column '{name}' twice", "each column once")
        elif name not in known:
            free = set(known) - set(names)
            expected = one_of(name, free or set(known), "a known column")
            log.add(file, where, f"unknown column '{name}'", expected)
    for name, column in known.items():
        if column.is_required() and name not in names:
            log.add(file, where, f"no column '{name}'", f"the columns {_list(schema)}")
    return log.count == before


def _list(schema: type[Row]) -> str:
    return ",".join(schema.model_fields)
