"""The page of a traveller, with boxes to sign by hand."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from scheduler.sheets.page import (
    LINE,
    SHORT,
    banner,
    caution_block,
    document,
    entries,
    lines,
    table,
    tick,
)
from scheduler.sheets.wording import (
    RELEASES_MOVE,
    caution_title,
    from_to,
    hours,
    moment,
    release_texts,
    steps_of,
)

if TYPE_CHECKING:
    from scheduler.sheets.floor import Floor
    from scheduler.sheets.traveller import Stop, Traveller

HEADS = (
    ("No.", 4), ("Step", 22), ("Where", 8), ("When", 14),
    ("Before you begin", 30), ("Signed", 22),
)  # fmt: skip


def traveller_page(floor: Floor, boat: Traveller) -> str:
    """The page of one boat."""
    names = floor.names
    title = f"Traveller {boat.order}, {names.model(boat.model)}"
    heading = banner(title, _told(floor, boat))
    numbers = {one.operation: one.number for one in boat.stops}
    rows = (_row(floor, one, numbers) for one in boat.stops)
    steps = [(one.number, one.operation) for one in boat.stops if one.state != "done"]
    body = [
        "<section>",
        *table(heading, HEADS, rows),
        f"<p><b>{escape(RELEASES_MOVE)}</b></p>",
        *caution_block(floor, steps),
        f'<p class="end">End of {escape(boat.order)}: {steps_of(len(boat.stops))}.</p>',
        "</section>",
    ]
    return document(floor, title, body, kind="traveller")


def _told(floor: Floor, boat: Traveller) -> list[str]:
    names = floor.names
    due = f"promised for {boat.promised}" if boat.promised else "not promised"
    if boat.proposed:
        due += f", proposed for {boat.proposed}"
    late = f", {boat.tardy_days} working days late" if boat.tardy_days else ""
    chosen = ", ".join(names.choices.get(boat.order, ()))
    return [
        f"{names.yard}. {floor.whose(boat.order)} "
        f"{due.capitalize()}; planned finish {moment(floor, boat.finish)}{late}.",
        f"Options: {chosen}." if chosen else "",
        f"Times in {floor.plan.problem.axis.zone_name}, standard labor-hours.",
        floor.note,
    ]


def _row(floor: Floor, stop: Stop, numbers: dict[str, int]) -> str:
    done = stop.state == "done"
    cells = [
        str(stop.number),
        _what(floor, stop),
        lines(floor.where(stop.operation)),
        _when(floor, stop),
        "" if done else _before(floor, stop, numbers),
        "done" if done else _signed(floor, stop),
    ]
    marks = ["", "", "", "", "", "" if done else ' class="sign"']
    inside = "".join(f"<td{mark}>{cell}</td>" for mark, cell in zip(marks, cells))
    return f'<tr class="{stop.state}">{inside}</tr>'


def _what(floor: Floor, stop: Stop) -> str:
    operation = floor.operations[stop.operation]
    told = f"{floor.parts(stop.operation)}; {floor.names.station(operation.station)}"
    if stop.crew:
        told += f"; {hours(stop.hours)} h, crew {stop.crew}"
    elif stop.state == "done" and stop.hours:
        told += f"; {hours(stop.hours)} h"
    flag = ' <span class="flag">GATE</span>' if floor.is_gate(stop.operation) else ""
    recorded = "".join(
        f'<br><span class="small">{escape(one)}</span>'
        for one in floor.recorded.get(stop.operation, ())
    )
    name = escape(floor.name(stop.operation))
    return f"<b>{name}</b>{flag}<br>{escape(told)}{recorded}"


def _when(floor: Floor, stop: Stop) -> str:
    if stop.state == "done":
        return escape(from_to(floor, stop.start, stop.finish))
    if stop.start == stop.finish:
        return escape(moment(floor, stop.start))
    since = "begun " if stop.state == "started" else ""
    begins = since + moment(floor, stop.start)
    return lines([begins, "to " + moment(floor, stop.finish, stop.start)])


def _before(floor: Floor, stop: Stop, numbers: dict[str, int]) -> str:
    releases = stop.releases if stop.state == "planned" else ()
    told = release_texts(
        floor, stop.operation, releases, lambda name: f"step {numbers[name]}"
    )
    texts = [escape(one) for one in told]
    keys = floor.cautions(stop.operation)
    if keys:
        titles = "all below" if len(keys) > 4 else ", ".join(map(caution_title, keys))
        texts.append(f'<span class="small">Caution: {escape(titles)}</span>')
    return "<br>".join(texts)


def _signed(floor: Floor, stop: Stop) -> str:
    """Boxes to sign by hand."""
    told = [f"begun {LINE} by {LINE}", f"ended {LINE} by {LINE} h {SHORT}"]
    checks = []
    if stop.operation in floor.demolds:
        checks.append(tick("cure is over"))
    if floor.is_gate(stop.operation):
        checks += [tick("pass"), tick("fail")]
    return entries([*told, *(["".join(checks)] if checks else [])])
