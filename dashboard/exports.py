"""Tables of the plan as CSV files, through the server, safe for spreadsheets."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Response, abort

from scheduler.export import table_to_csv, tables

if TYPE_CHECKING:
    from flask import Flask

    from dashboard.source import PlanSource
    from dashboard.view import View
    from scheduler.export import Table

NAMES = ("promises", "operations", "orders", "occupations", "people")


def promises_table(view: View) -> Table:
    """Every order with its promise, as on the sheet of promises."""
    from dashboard.pages.promises import promise_rows

    rows = promise_rows(view)
    heading = list(rows[0]) if rows else ["order"]
    return [[*heading], *([row[name] for name in heading] for row in rows)]


def add_exports(server: Flask, source: PlanSource) -> None:
    """Add `/export/NAME.csv`; the name chooses a table and is never a path."""

    def export(name: str) -> Response:
        view = source.reading().view
        if view is None or name not in NAMES:
            abort(404)
        chosen = promises_table(view) if name == "promises" else tables(view.plan)[name]
        reply = Response(table_to_csv(chosen), mimetype="text/csv")
        reply.headers["Content-Disposition"] = f'attachment; filename="{name}.csv"'
        return reply

    server.add_url_rule("/export/<name>.csv", "export", export)
