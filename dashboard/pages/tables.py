"""Tables: the twin of each chart, and the grid of promises.

The grid is the Community edition; its own export is switched off, because it would
not make text safe for spreadsheets. Ours goes through the server.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import dash_ag_grid as dag
from dash import html

from dashboard.markup import aria

if TYPE_CHECKING:
    from collections.abc import Sequence

Component = Any
Cell = str | int | float | None
# The grid's own sheet of styles, in the sheet's inks; no font is fetched.
GRID_LOOK = (
    "themeBalham.withParams({"
    "fontFamily: 'inherit', fontSize: 13, headerFontSize: 12, "
    "backgroundColor: '#fdf9ee', foregroundColor: '#1f2a33', "
    "oddRowBackgroundColor: '#f9f4e6', headerBackgroundColor: '#ece4d0', "
    "headerTextColor: '#1f2a33', borderColor: '#b9b09a', accentColor: '#2f5f8f', "
    "rowHoverColor: '#ece4d0', borderRadius: 0, wrapperBorderRadius: 0, "
    "wrapperBorder: {color: '#1f2a33'}})"
)
ROW_PIXELS = 27
MOST_PIXELS = 620


def column(field: str, title: str, width: int = 110, **more: Any) -> dict[str, Any]:
    """Definition of a text column."""
    return {
        "field": field, "headerName": title, "width": width,
        "filter": "agTextColumnFilter", "tooltipField": field, **more,
    }  # fmt: skip


def figures(field: str, title: str, width: int = 110, **more: Any) -> dict[str, Any]:
    """Definition of a column of numbers, set to the right."""
    return {
        "field": field, "headerName": title, "width": width, "type": "rightAligned",
        "filter": "agNumberColumnFilter", **more,
    }  # fmt: skip


def grid(
    id: str,
    label: str,
    columns: Sequence[dict[str, Any]],
    rows: Sequence[dict[str, Cell]],
    height: int | None = None,
) -> Component:
    """A sortable, filterable table; on paper the browser lays it out in full."""
    tall = min(MOST_PIXELS, (len(rows) + 2) * ROW_PIXELS + 30)
    table = dag.AgGrid(
        id=id,
        columnDefs=list(columns),
        rowData=list(rows),
        defaultColDef={
            "sortable": True, "filter": True, "resizable": True,
            "suppressHeaderMenuButton": False, "wrapHeaderText": True,
            "autoHeaderHeight": True,
        },
        dashGridOptions={
            "theme": {"function": GRID_LOOK},
            "suppressCsvExport": True,
            "suppressExcelExport": True,
            "suppressContextMenu": True,
            "enableCellTextSelection": True,
            "ensureDomOrder": True,
            "animateRows": False,
            "rowHeight": ROW_PIXELS,
            "headerHeight": 34,
        },
        className="ledger",
        style={"height": f"{height or tall}px", "width": "100%"},
    )  # fmt: skip
    return html.Div(table, role="region", className="table", **aria(label=label))


def small_table(
    label: str, heading: Sequence[str], rows: Sequence[Sequence[Cell]]
) -> Component:
    """A plain table for few rows; numbers stand to the right."""
    head = html.Thead(html.Tr([html.Th(text, scope="col") for text in heading]))
    body = html.Tbody(
        [
            html.Tr(
                [
                    html.Td(cell, className="number" if _is_number(cell) else "")
                    for cell in row
                ]
            )
            for row in rows
        ]
    )
    return html.Table(
        [html.Caption(label), head, body], className="small-table"
    )  # fmt: skip


def _is_number(cell: Cell) -> bool:
    if isinstance(cell, int | float):
        return True
    return isinstance(cell, str) and cell[:1].isdigit() and cell[-1:] in "0123456789%"
