"""Tables of a plan for spreadsheets, as CSV files or as one workbook.

Text that a spreadsheet would take for a formula gets an apostrophe in front, so that
nothing written by a customer or dealer runs on somebody's desk. Numbers stay numbers.
"""

from __future__ import annotations

import csv
import io
import re
from pathlib import Path

from models.spans import clip
from models.workbook import write_workbook
from scheduler.plan import Plan
from scheduler.plan_file import write_text
from scheduler.service_work import as_planned

Cell = str | int | float | None
Table = list[list[Cell]]

# A sign at the start of a cell or of a line in it, behind spaces or apostrophes too,
# also in its full width; further control characters at the start of the cell.
_SIGNS = "=+\\-@\uff1d\uff0b\uff0d\uff20"
_LIVE = re.compile(
    f"(?:\\A'*(?= *[{_SIGNS}\t\r\n\0])|(?<=[\r\n])'*(?= *[{_SIGNS}\t\0]))"
)


def neutral(cell: Cell) -> Cell:
    """Make text safe for a spreadsheet; numbers and other text stay as they are."""
    if not isinstance(cell, str):
        return cell
    return _LIVE.sub(lambda found: f"'{found.group()}", cell)


def tables(plan: Plan) -> dict[str, Table]:
    """Give the tables of a plan by name; the first row of each is its heading.

    That of overtime is there where the yard offers any.
    """
    return {
        "operations": _operations(plan),
        "orders": _orders(plan),
        "occupations": _occupations(plan),
        "people": _people(plan),
        **({"overtime": _overtime(plan)} if plan.problem.overtime else {}),
    }


def table_to_csv(table: Table) -> str:
    """Write a table as CSV, safe to open in a spreadsheet."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerows([neutral(cell) for cell in row] for row in table)
    return out.getvalue()


def export_csv(plan: Plan, folder: Path) -> list[Path]:
    """Write each table of a plan to `folder` and return the files."""
    written = []
    for name, table in tables(plan).items():
        path = folder / f"{name}.csv"
        write_text(table_to_csv(table), path)
        written.append(path)
    return written


def export_workbook(plan: Plan, folder: Path) -> Path:
    """Write all tables of a plan as sheets of `folder/tables.xlsx`."""
    path = folder / "tables.xlsx"
    sheets = {
        name: [[neutral(cell) for cell in row] for row in table]
        for name, table in tables(plan).items()
    }
    write_workbook(sheets, path)
    return path


def _operations(plan: Plan) -> Table:
    axis = plan.problem.axis
    given = {one.operation: one.why for one in plan.problem.committed}
    known = {one.id: one for one in plan.problem.operations}
    heading = "order operation parts station skill labor_hours crew people start finish"
    table: Table = [[*heading.split(), "mold", "place", "state"]]
    for one in sorted(
        plan.answer.operations, key=lambda row: (row.start, row.operation)
    ):
        operation = known[one.operation]
        people = dict.fromkeys(stint.person for stint in one.people)
        table.append(
            [
                operation.order,
                operation.code,
                ";".join(operation.parts),
                operation.station,
                operation.skill,
                operation.labor_hours,
                one.crew,
                ";".join(people),
                axis.iso(one.start),
                axis.iso(one.finish),
                one.mold,
                one.place,
                given.get(one.operation, "planned"),
            ]
        )
    return table


def _orders(plan: Plan) -> Table:
    axis = plan.problem.axis
    results = {one.order: one for one in plan.answer.orders}
    heading = "order model wanted promised proposed finish tardy_days weight kind"
    table: Table = [[*heading.split()]]
    for order in plan.problem.orders:
        result = results[order.order]
        table.append(
            [
                order.order,
                order.model,
                order.wanted,
                order.promised,
                result.proposed,
                axis.iso(result.finish),
                result.tardy_days,
                order.weight,
                order.kind,
            ]
        )
    return table


def _occupations(plan: Plan) -> Table:
    axis = plan.problem.axis
    molds = {one.id for one in plan.problem.molds}
    table: Table = [["resource", "kind", "order", "part", "from", "to"]]
    for one in sorted(
        plan.answer.occupations, key=lambda row: (row.resource, row.start)
    ):
        kind = "mold" if one.resource in molds else "place"
        span = axis.iso(one.start), axis.iso(one.finish)
        table.append([one.resource, kind, one.order, one.part, *span])
    return table


def _people(plan: Plan) -> Table:
    """Give one row for each time that a person is on an operation, with the hours.

    The service of a mold belongs to no order and no station.
    """
    axis = plan.problem.axis
    known = {one.id: one for one in plan.problem.operations}
    rows = []
    for one in plan.answer.operations:
        operation = known[one.operation]
        for stint in one.people:
            ticks = sum(
                max(0, min(end, stint.finish) - max(start, stint.start))
                for start, end in one.segments
            )
            row: list[Cell] = [
                stint.person,
                axis.iso(stint.start),
                axis.iso(stint.finish),
                ticks * axis.tick_minutes / 60,
                operation.order,
                operation.code,
                operation.station,
            ]
            rows.append((stint.person, stint.start, one.operation, row))
    for _, service in as_planned(plan.problem, plan.answer.services):
        for stint in service.people:
            worked = clip(service.segments, stint.start, stint.finish)
            hours = sum(end - start for start, end in worked) * axis.tick_minutes / 60
            span = axis.iso(stint.start), axis.iso(stint.finish)
            row = [stint.person, *span, hours, "", service.operation, ""]
            rows.append((stint.person, stint.start, service.operation, row))
    heading = "person from to hours order operation station"
    return [[*heading.split()], *(row for *_, row in sorted(rows))]


def _overtime(plan: Plan) -> Table:
    """Give one row for each person in each opened window, with hours and price."""
    axis = plan.problem.axis
    windows = {one.id: one for one in plan.problem.overtime}
    table: Table = [["window", "calendar", "person", "from", "to", "hours", "price"]]
    for row in plan.answer.overtime:
        window = windows[row.window]
        if row.person is not None:
            hours = (row.finish - row.start) * axis.tick_minutes / 60
            span = axis.iso(row.start), axis.iso(row.finish)
            price = hours * window.price_per_hour
            name = row.window, window.calendar, row.person
            table.append([*name, *span, hours, price])
    return table
