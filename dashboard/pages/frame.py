"""The frame of a sheet: skip link, title block, index of sheets, states."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from dash import dcc, html

from dashboard.markup import aria
from dashboard.wording import ago
from models.cautions import DEFER

if TYPE_CHECKING:
    from dashboard.source import NoSheet
    from dashboard.view import View

Component = Any
SHEETS = (
    ("/plan", "Plan", "what is built when, where and by whom"),
    ("/pace", "Pace", "load, utilization and what late boats wait for"),
    ("/promises", "Promises", "every date against its plan"),
)
# Callbacks that only change the address or the drawing; each needs an output.
BROWSER_SIDE = ("bar", "mark", "find", "typed", "offer", "plan-table", "crew-table")
POLL_MILLISECONDS = 15_000
_LEVELS = {
    "tardiness": "weighted late days",
    "overtime": "overtime cost",
    "changes": "changes",
    "work_in_process": "work in process",
    "leveling": "leveling",
}


def skeleton() -> Component:
    """What every address shows first; the rest is drawn into it."""
    return html.Div(
        [
            html.A("Skip to the drawing", href="#drawing", className="skip"),
            dcc.Location(id="url", refresh="callback-nav"),
            dcc.Interval(id="poll", interval=POLL_MILLISECONDS),
            dcc.Store(id="version"),
            dcc.Store(id="drawn"),
            dcc.Store(id="seen"),
            dcc.Store(id="picked"),
            dcc.Store(id="offered"),
            *(dcc.Store(id=f"done-{name}") for name in BROWSER_SIDE),
            html.Header(id="head"),
            html.Main(
                [
                    html.Div(
                        [
                            html.Div(
                                html.P(
                                    "Drawing the sheet …",
                                    role="status",
                                    className="wait",
                                ),
                                id="sheet",
                            ),
                            html.Div(id="more"),
                        ],
                        className="column",
                    ),
                    html.Aside(
                        [
                            html.Div(id="finder"),
                            html.Div(id="details", **aria(live="polite")),
                            html.Div(id="glance"),
                        ],
                        id="side",
                        **aria(label="Details of an operation"),
                    ),
                ],
                id="drawing",
                tabIndex=-1,
            ),
            html.Footer(
                f"The tool plans work; it does not judge safety. {DEFER}",
                className="foot",
            ),
        ],
        className="board",
    )


def head(path: str, view: View | None) -> Component:
    """Name of the yard, index of sheets and title block."""
    place = next((k for k, one in enumerate(SHEETS) if one[0] == path), 0)
    return [
        html.Div(
            [
                html.P("Hullpace planning board", className="maker"),
                html.P(view.names.yard if view else "No plan", className="yard"),
                html.Nav(_index(place), **aria(label="Sheets")),
            ],
            className="masthead",
        ),
        html.Dl(_block(place, view), className="title-block"),
    ]


def _index(place: int) -> Component:
    items = []
    for k, (path, name, told) in enumerate(SHEETS):
        current = aria(current="page") if k == place else {}
        link = dcc.Link(
            [html.Span(str(k + 1), className="numeral"), f" {name}"],
            href=path,
            id=f"sheet-{name.lower()}",
            title=told,
        )
        items.append(html.Li(link, className="chosen" if k == place else "", **current))
    return html.Ul(items)


def _block(place: int, view: View | None) -> list[Component]:
    cells = [("Sheet", f"{place + 1} of {len(SHEETS)}", SHEETS[place][1])]
    if view is not None:
        made = local_time(view.plan.created, view.zone)
        cells += [
            ("Plan made", f"{made:%Y-%m-%d %H:%M}", age(view)),
            ("Planned from", f"{view.now:%Y-%m-%d}", ""),
            ("Times", "yard time", view.zone),
            ("Standing", *standing(view)),
        ]
    return [
        html.Div(
            [
                html.Dt(name),
                html.Dd([html.Strong(value), html.Small(note) if note else None]),
            ],
            className="cell",
        )
        for name, value, note in cells
    ]


def standing(view: View) -> tuple[str, str]:
    """How good the plan is on its first level, and what is known about the best."""
    first = view.plan.answer.levels[0]
    name = _LEVELS.get(first.name, first.name)
    if first.status == "proven":
        return f"{first.value:g} {name}", "proven: none has fewer"
    if first.bound == 0:
        return f"{first.value:g} {name}", "fewest possible: not known"
    if first.bound is not None:
        fewest = f"no plan has fewer than {first.bound:g}"
        gap = f"the best has at most {first.value - first.bound:g} fewer than this one"
        return f"{first.value:g} {name}", f"{fewest}; {gap}"
    return f"{first.value:g} {name}", "feasible, no bound known"


def local_time(text: str, zone: str) -> datetime:
    """Naive yard time of an instant in a plan file."""
    made = datetime.fromisoformat(text)
    if made.tzinfo is None:
        return made
    return made.astimezone(ZoneInfo(zone)).replace(tzinfo=None)


def age(view: View) -> str:
    """How long ago the plan was made."""
    made = datetime.fromisoformat(view.plan.created)
    if made.tzinfo is None:
        made = made.replace(tzinfo=ZoneInfo(view.zone))
    return f"{ago((datetime.now(UTC) - made).total_seconds())} ago"


def trouble(what: NoSheet) -> Component:
    """The sheet where there is nothing to draw."""
    return html.Section(
        [
            html.H1(what.title),
            html.P(what.reason),
            html.P(html.Code(what.advice)),
            html.P("This page looks again by itself every 15 seconds."),
        ],
        className="trouble",
        role="alert",
    )


def notice(text: str) -> Component:
    """A line that must not be overlooked but stops nothing."""
    return html.P(text, className="notice", role="note")
