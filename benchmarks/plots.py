"""A picture of the cells: late days by method, relative to earliest due date."""

from __future__ import annotations

from pathlib import Path
from statistics import median
from typing import Any

import plotly.graph_objects as go

Row = dict[str, Any]
CHROMIUM = Path("/usr/bin/chromium")
SIZE = (1000, 460)
METHODS = {
    "best rule": "#9aa5b1",
    "one model": "#d8b365",
    "one model, our plan as hint": "#8c510a",
    "hullpace plan": "#01665e",
}


def shares(cells: list[Row], method: str) -> tuple[list[str], list[float | None]]:
    """Late days of a method as a share of those by earliest due date."""
    names, found = [], []
    for cell in cells:
        asked = cell["cell"]
        due = next(a["value"] for a in cell["arms"] if a["name"] == "earliest due date")
        prefix = "rule: " if method == "best rule" else method
        values = [
            arm["value"]
            for arm in cell["arms"]
            if (arm["name"] == method or method == "best rule")
            and arm["name"].startswith(prefix)
            and arm["value"] is not None
        ]
        names.append(
            f"{asked['boats']} boats, load {asked['load']:g}, book {asked['book_seed']}"
        )
        middle = min(values) if method == "best rule" else median(values or [0])
        found.append(100 * middle / due if values and due else None)
    return names, found


def figure(cells: list[Row]) -> go.Figure:
    """Bars by book and method; a cross stands where a method has no plan."""
    drawing = go.Figure()
    for method, color in METHODS.items():
        names, found = shares(cells, method)
        drawing.add_bar(
            x=names,
            y=[0 if one is None else one for one in found],
            text=["×" if one is None else f"{one:.0f} %" for one in found],
            textposition="outside",
            cliponaxis=False,
            name=method,
            marker_color=color,
        )
    drawing.update_layout(
        template="plotly_white",
        width=SIZE[0],
        height=SIZE[1],
        margin={"l": 60, "r": 20, "t": 90, "b": 60},
        title="Late days, per cent of those by earliest due date; × no plan, not asked",
        yaxis={"ticksuffix": " %", "rangemode": "tozero"},
        legend={"orientation": "h", "y": 1.05, "yanchor": "bottom", "x": 0},
    )
    drawing.update_layout(title_y=0.96)
    return drawing


def write_plot(cells: list[Row], path: Path) -> None:
    """Take a picture in Debian's Chromium; without it, say so and write none."""
    if not cells:
        return
    if not CHROMIUM.exists():
        print(f"No {path.name}: {CHROMIUM.name} is not there.")
        return
    from playwright.sync_api import sync_playwright

    with sync_playwright() as tools:
        browser = tools.chromium.launch(
            executable_path=str(CHROMIUM), args=["--no-sandbox", "--disable-gpu"]
        )
        view = browser.new_page(viewport={"width": SIZE[0], "height": SIZE[1]})
        view.set_content(figure(cells).to_html(include_plotlyjs=True))
        view.wait_for_selector(".main-svg")
        view.screenshot(path=path)
        browser.close()
