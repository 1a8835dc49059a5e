"""The application: one frame, three sheets, nothing that leaves this computer."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from dash import Dash, Input, Output, State, ctx, no_update
from dash.dependencies import ALL, ClientsideFunction
from flask import request

from dashboard.exports import add_exports
from dashboard.filters import read_filters, write_filters
from dashboard.pages.details import details, finder, glance, offers, pointed_at
from dashboard.pages.frame import head, notice, skeleton, trouble
from dashboard.pages.pace import pace_page
from dashboard.pages.plan import more_strips, plan_page
from dashboard.pages.promises import promises_page
from dashboard.security import guard

if TYPE_CHECKING:
    from collections.abc import Callable

    from dashboard.filters import Filters
    from dashboard.source import PlanSource, Reading
    from dashboard.view import View

PAGES: dict[str, Callable[[View, Filters], Any]] = {
    "/plan": plan_page,
    "/pace": pace_page,
    "/promises": promises_page,
}
DRAWING = "/_dash-component-suites/plotly/package_data/plotly.min.js"
INDEX = """<!doctype html>
<html lang="en">
<head>
{%metas%}
<title>{%title%}</title>
{%favicon%}
{%css%}
</head>
<body>
{%app_entry%}
<footer class="dash-scripts">
{%config%}
{%scripts%}
{%renderer%}
</footer>
</body>
</html>
"""


class Board(Dash):
    """Dash with a page that asks for the drawing program along with everything else."""

    def interpolate_index(self, **kwargs: Any) -> str:  # type: ignore[override]
        """Fill the page; sheets with drawings fetch early what they will need."""
        if request.path != "/promises":
            kwargs["metas"] += f'<link rel="preload" as="script" href="{DRAWING}">'
        filled: Callable[..., str] = super().interpolate_index
        return filled(**kwargs)


def make_app(source: PlanSource) -> Dash:
    """Build the application on a plan file."""
    app = Board(
        "dashboard",
        assets_folder=str(Path(__file__).parent / "assets"),
        index_string=INDEX,
        title="Hullpace board",
        update_title="",
        suppress_callback_exceptions=True,
        serve_locally=True,
        enable_mcp=False,
        meta_tags=[
            {"name": "viewport", "content": "width=device-width, initial-scale=1"}
        ],
    )
    app.layout = skeleton()
    _server_side(app, source)
    _browser_side(app)
    add_exports(app.server, source)
    guard(app.server, app.csp_hashes)
    return app


def page_path(pathname: str | None) -> str:
    """The sheet at an address; the bare address is the first sheet."""
    return pathname if pathname in PAGES else "/plan"


def draw_sheet(reading: Reading, pathname: str | None, filters: Filters) -> Any:
    """Everything inside the frame."""
    if reading.view is None:
        assert reading.trouble is not None
        return trouble(reading.trouble)
    page = PAGES[page_path(pathname)](reading.view, filters)
    note = reading.view.names.note
    return [notice(note), page] if note else [page]


def _server_side(app: Dash, source: PlanSource) -> None:
    @app.callback(
        Output("version", "data"),
        Input("poll", "n_intervals"),
        State("drawn", "data"),
        prevent_initial_call=True,
    )
    def look(_: int | None, drawn: str | None) -> Any:
        stamp = source.reading().stamp
        return no_update if (drawn or "").startswith(f"{stamp} ") else stamp

    @app.callback(
        Output("head", "children"),
        Output("sheet", "children"),
        Output("drawn", "data"),
        Input("url", "pathname"),
        Input("url", "search"),
        Input("version", "data"),
        State("drawn", "data"),
    )
    def draw(path: str, search: str, _: str | None, drawn: str | None) -> Any:
        reading = source.reading()
        filters = read_filters(search).drawing()
        wanted = f"{reading.stamp} {page_path(path)}{write_filters(filters)}"
        if wanted == drawn:
            return no_update, no_update, no_update
        sheet = draw_sheet(reading, path, filters)
        return head(page_path(path), reading.view), sheet, wanted

    @app.callback(
        Output("more", "children"), Input("seen", "data"), State("url", "search"),
        State("url", "pathname"),
    )  # fmt: skip
    def draw_more(drawn: str | None, search: str, path: str) -> Any:
        view = source.reading().view
        if view is None or drawn is None or page_path(path) != "/plan":
            return None
        return more_strips(view, read_filters(search).drawing())

    @app.callback(
        Output("details", "children"),
        Output("picked", "data"),
        Input("url", "pathname"),
        Input("url", "search"),
        Input("version", "data"),
    )
    def tell(path: str, search: str, _: str | None) -> Any:
        view = source.reading().view
        if view is None or page_path(path) != "/plan":
            return None, None
        return details(view, read_filters(search))

    @app.callback(
        Output("finder", "children"),
        Output("offered", "data"),
        Input("url", "pathname"),
        Input("seen", "data"),
        State("offered", "data"),
    )
    def offer(path: str, seen: str | None, known: dict[str, Any] | None) -> Any:
        reading = source.reading()
        if reading.view is None or seen is None or page_path(path) != "/plan":
            return None, None
        if known is not None and known["stamp"] == reading.stamp:
            return no_update, no_update
        return finder(), {"stamp": reading.stamp, "all": offers(reading.view)}

    @app.callback(
        Output("glance", "children"),
        Input({"type": "strip", "part": ALL}, "hoverData"),
        Input("drawn", "data"),
    )
    def look_closer(_: list[Any], drawn: str | None) -> Any:
        view = source.reading().view
        point = pointed_at(ctx.triggered)
        if view is None or point is None:
            return None
        told = point.get("customdata")
        return glance(view, str(told[0])) if isinstance(told, list) else no_update


def _browser_side(app: Any) -> None:
    """Callbacks that run in the browser; their text is in `assets/board.js`."""

    def local(name: str) -> ClientsideFunction:
        return ClientsideFunction(namespace="hullpace", function_name=name)

    app.clientside_callback(
        local("pick_bar"),
        Output("done-bar", "data"),
        Input({"type": "strip", "part": ALL}, "clickData"),
        prevent_initial_call=True,
    )
    app.clientside_callback(
        local("seen"), Output("seen", "data"), Input("drawn", "data")
    )
    app.clientside_callback(
        local("offer"),
        Output("done-offer", "data"),
        Input("offered", "data"),
        Input("finder", "children"),
    )
    app.clientside_callback(
        local("mark"),
        Output("done-mark", "data"),
        Input("picked", "data"),
        Input("drawn", "data"),
        Input("more", "children"),
    )
    app.clientside_callback(
        local("find"),
        Output("done-find", "data"),
        Input("choose-find", "value"),
        prevent_initial_call=True,
    )
    app.clientside_callback(
        local("find_operation"),
        Output("done-typed", "data"),
        Input("choose-typed", "value"),
        prevent_initial_call=True,
    )
    for table in ("plan-table", "crew-table"):
        app.clientside_callback(
            local("pick_row"),
            Output(f"done-{table}", "data"),
            Input(table, "cellClicked"),
            prevent_initial_call=True,
        )
