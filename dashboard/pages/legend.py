"""What the signs of a drawing mean, in the order in which they are looked for."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from dash import html

from dashboard.markup import aria
from dashboard.palette import on_wash, short_codes, wash

if TYPE_CHECKING:
    from dashboard.view import View

Component = Any


def legend(view: View, by: str) -> Component:
    """Signs used in one of the drawings of the plan."""
    items = []
    if by in {"boats", "crew"}:
        for group, code in enumerate(short_codes(view.groups)):
            swatch = html.Span(
                code, className="swatch",
                style={"background": wash(group), "color": on_wash(group)},
            )  # fmt: skip
            items.append(html.Li([swatch, view.groups[group]]))
    signs = {
        "boats": [
            ("cure", "", "cure: nobody works"),
            ("done", "", "pale: done"),
            ("dimension", "H-1", "mold or place of a part"),
            ("promise", "▼", "promised date (open: only wanted)"),
            ("late", "", "late"),
        ],
        "holds": [
            ("held", "", "taken by a boat"),
            ("held late-boat", "", "taken by a boat that will be late"),
            ("away", "", "out of use"),
            *([("serviced", "", "in service")] if view.plan.answer.services else []),
        ],
        "crew": [],
        "book": [
            ("shades", "", "darker: more labor hours in the week"),
            ("promise", "▽", "week of the promised date"),
            ("finish", "○", "week of the planned finish"),
        ],
    }[by]
    for name, text, told in [*signs, ("now", "", "planned from here on")]:
        items.append(html.Li([html.Span(text, className=f"sign {name}"), told]))
    return html.Ul(items, className="legend", **aria(label="Signs"))
