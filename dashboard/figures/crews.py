"""The same plan by crew: what each person is on, people together by skill."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Any

from dashboard.figures.boats import MOST_LETTERED, picked_trace
from dashboard.figures.lanes import chosen_boats, overlaps
from dashboard.graph import (
    Figure,
    Trace,
    bar,
    bars,
    figure,
    fitting,
    now_line,
    row_axis,
    shade,
    time_axis,
)
from dashboard.palette import INK, LINE, on_wash, short_codes, wash
from dashboard.wording import span
from models.names import plain

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date, timedelta

    from dashboard.filters import Filters
    from dashboard.view import Row, View
    from scheduler.problem import Person

LANE_PIXELS = 21


@dataclass(frozen=True, slots=True)
class Shift:
    """One person on one operation, worked without a longer pause than a night."""

    person: str
    skill: str
    row: Row
    begins: datetime
    ends: datetime


def shifts(view: View, filters: Filters, first: date, after: date) -> list[Shift]:
    """Who is on what in the window, by the person's first skill."""
    chosen = {boat.order for boat in chosen_boats(view, filters)}
    skill_of = {one.id: _first_skill(view, one) for one in view.plan.problem.people}
    found = []
    for planned in view.plan.answer.operations:
        row = view.by_id[planned.operation]
        if row.order not in chosen:
            continue
        for stint in planned.people:
            begins, ends = view.local(stint.start), view.local(stint.finish)
            if overlaps(begins, ends, first, after):
                skill = skill_of.get(stint.person, "no skill")
                found.append(Shift(plain(stint.person), skill, row, begins, ends))
    return sorted(found, key=lambda one: (one.skill, one.person, one.begins))


def _first_skill(view: View, person: Person) -> str:
    return next((view.names.skill(one) for one in person.counts_for), "no skill")


def people_of(view: View) -> list[tuple[str, str]]:
    """Skill and code of each person, by first skill, in the yard's order of skills."""
    skills = list(view.names.skills.values())
    known = [
        (_first_skill(view, one), plain(one.id)) for one in view.plan.problem.people
    ]
    place = {name: index for index, name in enumerate(skills)}
    return sorted(known, key=lambda one: (place.get(one[0], 99), one[0], one[1]))


def crews_figure(
    view: View,
    worked: Sequence[Shift],
    first: date,
    after: date,
) -> Figure:
    """Draw people against time, colored by station group."""
    people = people_of(view)
    at = {person: index + 0.5 for index, (_, person) in enumerate(people)}
    starts = [
        index
        for index in range(len(people))
        if index == 0 or people[index][0] != people[index - 1][0]
    ]
    labels = [
        f"{skill} <b>{person}</b>" if index in starts else f"<b>{person}</b>"
        for index, (skill, person) in enumerate(people)
    ]
    return figure(
        [picked_trace(), *_traces(view, worked, at, after - first)],
        len(people) * LANE_PIXELS + 60,
        xaxis=time_axis(first, after),
        yaxis=row_axis(list(at.values()), labels, -0.2, len(people) + 0.2),
        shapes=[
            *(shade(*closed) for closed in view.closed(first, after)),
            now_line(view.now),
            *(_rule(index) for index in starts),
        ],
    )


def _traces(
    view: View,
    worked: Sequence[Shift],
    at: dict[str, float],
    window: timedelta,
) -> list[Trace]:
    codes = short_codes(view.groups)
    traces = []
    for group, name in enumerate(view.groups):
        mine = [one for one in worked if one.row.group == group and one.person in at]
        if mine:
            traces.append(
                bar(
                    **bars(
                        [one.begins for one in mine],
                        [one.ends for one in mine],
                        [at[one.person] for one in mine],
                        0.72,
                    ),
                    **_lettering(mine, codes[group], group, window),
                    name=name,
                    customdata=[[one.row.id, _hover(one)] for one in mine],
                    hovertemplate="%{customdata[1]}<extra></extra>",
                )
            )
    return traces


def _lettering(
    mine: Sequence[Shift], code: str, group: int, window: timedelta
) -> dict[str, Any]:
    def text(one: Shift) -> str:
        length = one.ends - one.begins
        whole = fitting(f"{code} {one.row.order}", length, window)
        return whole or fitting(code, length, window)

    lettered = len(mine) <= MOST_LETTERED
    return {
        "text": [text(one) for one in mine] if lettered else None,
        "textposition": "inside",
        "insidetextanchor": "middle",
        "insidetextfont": {"size": 10, "color": on_wash(group)},
        "constraintext": "none",
        "textangle": 0,
        "marker": {
            "color": wash(group),
            "line": {"color": INK, "width": 0.7 if lettered else 0.2},
        },
    }


def _hover(one: Shift) -> str:
    return (
        f"<b>{one.person}</b>: {one.row.name}<br>{one.row.order} {one.row.model}<br>"
        f"{one.row.station}<br>{span(one.begins, one.ends)}"
    )


def _rule(index: int) -> dict[str, Any]:
    return {
        "type": "line", "xref": "paper", "yref": "y", "x0": 0, "x1": 1, "y0": index,
        "y1": index, "line": {"color": LINE, "width": 1}, "layer": "below",
    }  # fmt: skip
