"""The files of an order book, CSV or workbooks, as tables of rows.

Orders come from the chosen files; arrivals, work in hand, locks and other jobs from the
CSV files beside them and in the yard's folder, and from the sheets of chosen workbooks.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeVar

from models.loading.csv import Numbered, Table, parse_csv, parse_rows
from models.loading.faults import FaultLog
from models.loading.fields import Row
from models.loading.files import SourceFiles
from models.loading.jobs import JobRow
from models.loading.orders import ArrivalRow, InHandRow, LockRow, OrderRow
from models.loading.workbook import SUFFIX, Sheet, read_sheets

SCHEMAS: dict[str, type[Row]] = {
    "orders": OrderRow,
    "arrivals": ArrivalRow,
    "in_hand": InHandRow,
    "locks": LockRow,
    "jobs": JobRow,
}

Line = TypeVar("Line", bound=Row)
Step = TypeVar("Step", ArrivalRow, InHandRow, LockRow)
Sheets = dict[Path, dict[str, Sheet] | None]


@dataclass(frozen=True, slots=True)
class OrderTables:
    """Everything that was read about orders."""

    orders: Table[OrderRow] = field(default_factory=Table)
    arrivals: Table[ArrivalRow] = field(default_factory=Table)
    in_hand: Table[InHandRow] = field(default_factory=Table)
    locks: Table[LockRow] = field(default_factory=Table)
    jobs: Table[JobRow] = field(default_factory=Table)


def own_orders(yard_dir: Path) -> Path:
    """The yard's own order book: `orders.xlsx` where there is no `orders.csv`."""
    plain, workbook = yard_dir / "orders.csv", yard_dir / f"orders{SUFFIX}"
    return workbook if workbook.exists() and not plain.exists() else plain


def read_order_tables(
    yard_dir: Path,
    order_files: Sequence[Path] | None,
    files: SourceFiles,
    log: FaultLog,
) -> OrderTables:
    """Read the chosen files, by default the yard's own, and what stands beside them.

    Rows of the yard's folder about orders of its own book are left out where that is
    not among the chosen files.
    """
    own = own_orders(yard_dir)
    chosen = list(order_files) if order_files else [own]
    second = yard_dir / f"orders{SUFFIX}"
    if not order_files and own != second and second.exists():
        found = f"beside {files.name(own)}"
        log.add(files.name(second), "file", found, "one of the two, not both")
    reader = _Reader(files, log)
    folders: dict[Path, Path] = {}
    for folder in (yard_dir, *(path.parent for path in chosen)):
        folders.setdefault(folder.resolve(), folder)

    def beside(name: str, schema: type[Line]) -> Table[Line]:
        paths = [folder / f"{name}.csv" for folder in folders.values()]
        tables = [reader.table(path, schema) for path in paths if path.exists()]
        return _joined([*tables, *reader.sheets(chosen, name, schema)])

    tables = OrderTables(
        orders=_joined([reader.orders(path) for path in chosen]),
        arrivals=beside("arrivals", ArrivalRow),
        in_hand=beside("in_hand", InHandRow),
        locks=beside("locks", LockRow),
        jobs=beside("jobs", JobRow),
    )
    if order_files and not any(path.resolve() == own.resolve() for path in chosen):
        return _without_other_orders(own, tables)
    return tables


def order_names(orders: Table[OrderRow]) -> set[str]:
    """Names of all orders with a row, good or bad."""
    good = {line.value.order for line in orders.good}
    return good | {row["order"] for row in orders.bad if "order" in row}


class _Reader:
    """Reads tables, each workbook once."""

    def __init__(self, files: SourceFiles, log: FaultLog) -> None:
        self._files, self._log = files, log
        self._workbooks: Sheets = {}

    def orders(self, path: Path) -> Table[OrderRow]:
        if path.suffix.lower() != SUFFIX:
            return self.table(path, OrderRow)
        sheets = self._sheets_of(path)
        if sheets is None:
            return Table(complete=False)
        if "orders" not in sheets:
            name = self._files.name(path)
            self._log.add(name, "file", "no sheet 'orders'", "the orders on that sheet")
            return Table(complete=False)
        return self._sheet(path, sheets["orders"], OrderRow)

    def sheets(
        self, paths: Sequence[Path], name: str, schema: type[Line]
    ) -> list[Table[Line]]:
        found = []
        for path in paths:
            sheets = self._sheets_of(path) if path.suffix.lower() == SUFFIX else {}
            if sheets and name in sheets and sheets[name].rows:
                found.append(self._sheet(path, sheets[name], schema))
        return found

    def table(self, path: Path, schema: type[Line]) -> Table[Line]:
        text = self._files.text(path)
        if text is None:
            return Table(complete=False)
        return parse_csv(text, schema, self._files.name(path), self._log)

    def _sheets_of(self, path: Path) -> dict[str, Sheet] | None:
        if path not in self._workbooks:
            content = self._files.content(path)
            self._workbooks[path] = (
                None
                if content is None
                else read_sheets(
                    content, self._files.name(path), frozenset(SCHEMAS), self._log
                )
            )
        return self._workbooks[path]

    def _sheet(self, path: Path, sheet: Sheet, schema: type[Line]) -> Table[Line]:
        file = self._files.name(path)
        if not sheet.rows:
            expected = f"the columns {','.join(schema.model_fields)}"
            self._log.add(file, f"sheet {sheet.name}", "an empty sheet", expected)
            return Table(complete=False)
        return parse_rows(_squared(sheet), schema, file, self._log, sheet.name)


def _squared(sheet: Sheet) -> Numbered:
    """Rows as wide as the row of names: a workbook leaves blank ends out."""
    width = len(sheet.rows[0][1])
    return [
        (number, [*cells, *[""] * (width - len(cells))]) for number, cells in sheet.rows
    ]


def _joined(tables: Sequence[Table[Line]]) -> Table[Line]:
    return Table(
        tuple(line for table in tables for line in table.good),
        tuple(row for table in tables for row in table.bad),
        all(table.complete for table in tables),
    )


def _without_other_orders(own: Path, tables: OrderTables) -> OrderTables:
    """Drop rows about orders of the yard's own book, which was not asked for.

    Other jobs stay: they take the yard's places and hands whatever is asked for.
    """
    if not own.exists():
        return tables
    aside = FaultLog()
    reader = _Reader(SourceFiles(own.parent, aside), aside)
    others = order_names(reader.orders(own)) - order_names(tables.orders)
    return OrderTables(
        tables.orders,
        _without(tables.arrivals, others),
        _without(tables.in_hand, others),
        _without(tables.locks, others),
        tables.jobs,
    )


def _without(table: Table[Step], orders: set[str]) -> Table[Step]:
    good = tuple(line for line in table.good if line.value.order not in orders)
    return Table(good, table.bad, table.complete)
