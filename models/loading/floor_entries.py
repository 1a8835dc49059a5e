"""Reading entries from the floor: rows of a CSV file, or one from a command."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from models.errors import DataFaults, Fault
from models.loading.csv import Table, parse_csv, parse_rows
from models.loading.faults import FaultLog
from models.loading.fields import (
    CellCelsius,
    CellCode,
    CellCodes,
    CellHours,
    CellPercent,
    Code,
    Label,
    LocalMinute,
    Row,
)
from models.loading.files import SourceFiles
from models.recording.entries import FloorEntry

NOTHING = "nothing was recorded"


def _number(value: object) -> object:
    if value == "":
        return None
    if isinstance(value, str):
        if not value.isascii() or not value.isdigit() or len(value) > 9:
            raise ValueError("the number of an entry")
        return int(value)
    return value


Kind = Literal[
    "start", "pause", "finish", "hours", "people", "scrap", "rework", "gate", "withdraw"
]


class FloorRow(Row):
    order: Code
    operation: Code
    what: Kind
    at: LocalMinute
    hours: CellHours = None
    remaining_hours: CellHours = None
    people: CellCodes = Field(default_factory=list)
    mold: CellCode = None
    place: CellCode = None
    note: Label = ""
    result: Annotated[
        Literal["pass", "fail"] | None,
        BeforeValidator(lambda value: None if value == "" else value),
    ] = None
    air_celsius: CellCelsius = None
    mold_celsius: CellCelsius = None
    humidity_percent: CellPercent = None
    batch: Label = ""
    photo: Label = ""
    rework_hours: CellHours = None
    rework_step: CellCode = None
    corrects: Annotated[int | None, BeforeValidator(_number)] = None


@dataclass(frozen=True, slots=True)
class Draft:
    """An entry to be written, the entry that it corrects, and where it comes from."""

    entry: FloorEntry
    corrects: int | None
    file: str
    place: str  # "row 3"; "" for a command


def read_floor_entries(path: Path) -> list[Draft]:
    """Read a CSV file of entries.

    Raises
    ------
    DataFaults
        With every fault of the file.
    """
    log = FaultLog()
    files = SourceFiles(path.parent, log)
    text = files.text(path)
    name = files.name(path)
    table: Table[FloorRow] = Table()
    if text is not None:
        table = parse_csv(text, FloorRow, name, log)
    try:
        log.raise_if_any()
    except DataFaults as error:
        raise DataFaults(error.faults, NOTHING) from None
    return [
        Draft(_entry(line.value), line.value.corrects, name, line.place)
        for line in table.good
    ]


def parse_floor_entry(cells: Mapping[str, str], name: str) -> Draft:
    """Read one entry from texts; a fault names the option of a command.

    Raises
    ------
    DataFaults
        With every fault of the entry.
    """
    log = FaultLog()
    numbered = [(1, list(cells)), (2, list(cells.values()))]
    table = parse_rows([(n, [*row]) for n, row in numbered], FloorRow, name, log)
    try:
        log.raise_if_any()
    except DataFaults as error:
        columns = ((one, one.where.rpartition(", ")[2]) for one in error.faults)
        found = [Fault(name, at, one.found, one.expected) for one, at in columns]
        raise DataFaults(found, NOTHING) from None
    row = table.good[0].value
    return Draft(_entry(row), row.corrects, name, "")


def _entry(row: FloorRow) -> FloorEntry:
    values = row.model_dump(exclude={"corrects"})
    return FloorEntry(**(values | {"people": tuple(row.people)}))
