"""Controls that live in the address: links, and form fields that change one choice.

All are plain HTML, so that they work with the keyboard as anything else does; the
browser's part of the form fields is in `assets/board.js`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from dash import dcc, html

from dashboard.filters import link
from dashboard.markup import aria, data

if TYPE_CHECKING:
    from collections.abc import Sequence

    from dashboard.filters import Filters

Component = Any


def choice(
    id: str, text: str, href: str, current: bool = False, title: str = ""
) -> Component:
    """A link that changes a choice; the current one says so."""
    link = dcc.Link(text, href=href, id=id, title=title or None)
    # A router link takes no aria attribute: the item that holds it does.
    return html.Li(
        link,
        className="chosen" if current else "",
        **(aria(current="true") if current else {}),
    )


def choices(label: str, items: Sequence[Component]) -> Component:
    """A row of links under a label."""
    return html.Div(
        [html.Span(label, className="label"), html.Ul(list(items))],
        className="choices",
        role="group",
        **aria(label=label),
    )


def twins(path: str, filters: Filters, chart: str) -> Component:
    """The choice between a drawing and the table of the same figures."""
    shown = filters.has_table(chart)
    return choices(
        "Shown as",
        [
            choice(
                f"{form}-{chart}", form,
                link(path, filters.with_table(chart, as_table)), shown == as_table,
            )
            for form, as_table in (("drawing", False), ("table", True))
        ],
    )  # fmt: skip


def select(
    name: str, label: str, options: Sequence[tuple[str, str]], chosen: str
) -> Component:
    """A list to choose from; `name` is the choice in the address."""
    entries = [
        html.Option(text, value=value, selected="selected" if value == chosen else None)
        for value, text in options
    ]
    # A new key whenever the choice changes: the browser keeps what was clicked.
    return html.Label(
        [
            html.Span(label, className="label"),
            html.Select(
                entries, id=f"choose-{name}", key=f"{name}={chosen}",
                **data(choice=name),
            ),
        ],
        className="field",
    )  # fmt: skip


def text_field(name: str, label: str, value: str, hint: str, **more: Any) -> Component:
    """A field to type in; Enter or leaving it applies what was typed."""
    return html.Label(
        [
            html.Span(label, className="label"),
            dcc.Input(
                id=f"choose-{name}", type="search", value=value, placeholder=hint,
                debounce=True, autoComplete="off", className="typed", **more,
            ),
        ],
        className="field",
    )  # fmt: skip


def summary(text: str) -> Component:
    """The one sentence that says what a chart shows."""
    return html.P(text, className="summary")


def nothing(text: str) -> Component:
    """What stands in place of a drawing or table when there is nothing to show."""
    return html.P(text, className="empty", role="status")
