"""Reading a CSV file into rows of a schema, with every wrong cell as a fault.

Comma-separated UTF-8 with one row of column names. A row is named by its number as a
spreadsheet shows it, the column names being row 1. Blank rows are skipped; white space
around a cell is not part of it; `;` parts several values in one cell, so a file whose
columns are parted by `;` is a fault.
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
class Read(Generic[Line]):
    """One good row and where it stands."""

    file: str
    row: int
    value: Line

    def where(self, column: str) -> str:
        """Name one of the row's cells."""
        return f"row {self.row}, {column}"


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
    numbered = _rows(text, file, log)
    names = [name.strip() for name in numbered[0][1]] if numbered else []
    if not names or not _check_header(names, schema, numbered[0][0], file, log):
        return Table(complete=False)
    good: list[Read[Line]] = []
    bad: list[dict[str, str]] = []
    for number, cells in numbered[1:]:
        if not any(cell.strip() for cell in cells):
            continue
        raw = dict(zip(names, (cell.strip() for cell in cells)))
        if len(cells) != len(names):
            expected = (
                f"{len(names)} as in row {numbered[0][0]} (a text or number that "
                "holds a comma needs quotes around it; decimals take a point)"
            )
            log.add(file, f"row {number}", f"{len(cells)} cells", expected)
            bad.append(raw)
            continue
        try:
            good.append(Read(file, number, schema.model_validate(raw)))
        except ValidationError as error:
            details = error.errors(include_url=False)
            report(schema, dict(raw), details, file, log, f"row {number}, ")
            bad.append(raw)
    return Table(tuple(good), tuple(bad))


def _rows(text: str, file: str, log: FaultLog) -> list[tuple[int, list[str]]]:
    """Split into numbered rows; the first is the first that is not blank."""
    rows: list[tuple[int, list[str]]] = []
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    number = 0
    try:
        for number, cells in enumerate(reader, 1):
            if rows or any(cell.strip() for cell in cells):
                rows.append((number, cells))
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
    names: Sequence[str], schema: type[Row], number: int, file: str, log: FaultLog
) -> bool:
    where = f"row {number}"
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
