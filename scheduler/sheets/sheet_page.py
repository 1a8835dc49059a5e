"""The page of a day: a sheet for each crew, beginning on paper of its own."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape
from typing import TYPE_CHECKING

from scheduler.sheets.page import (
    LINE,
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
    resting_text,
    steps_of,
    times,
)

if TYPE_CHECKING:
    from scheduler.sheets.day import CrewSheet, Presence, Step
    from scheduler.sheets.floor import Floor

STEP_HEADS = (
    ("No.", 4), ("Time", 9), ("Boat", 10), ("Step", 22), ("Where", 8),
    ("People", 14), ("Before you begin", 22), ("Record", 11),
)  # fmt: skip
REST_HEADS = (
    ("Not before", 18), ("Boat", 13), ("Part", 15), ("Where", 12), ("Why", 24),
    ("What comes next", 18),
)  # fmt: skip


UPKEEP_HEADS = (
    ("No.", 4), ("Mold", 16), ("Out of use", 30), ("People", 30), ("Record", 20),
)  # fmt: skip


def day_page(floor: Floor, sheets: Sequence[CrewSheet]) -> str:
    """The page of one day's sheets; at least one."""
    body: list[str] = []
    for number, sheet in enumerate(sheets, 1):
        body += [f'<section id="crew-{number}">', *_sheet(floor, sheet), "</section>"]
    day = sheets[0].day
    return document(floor, f"{day:%a %Y-%m-%d}, {floor.names.yard}", body)


def _sheet(floor: Floor, sheet: CrewSheet) -> Iterable[str]:
    zone = floor.plan.problem.axis.zone_name
    count, people = len(sheet.steps), len(sheet.people)
    told = [
        f"{floor.names.yard}. {steps_of(count)}, "
        f"{hours(sheet.day_hours)} labor-hours this day, "
        f"{people} {'person' if people == 1 else 'people'}. Times in {zone}.",
        *(
            f"{one.resource} is {one.why} until {moment(floor, one.until)}."
            for one in sheet.closed
        ),
        floor.note,
    ]
    heading = banner(f"{sheet.crew}: {sheet.day:%A %Y-%m-%d}", told)
    yield from table(heading, STEP_HEADS, (_row(floor, one) for one in sheet.steps))
    if sheet.upkeep:
        yield "<h2>Service of molds</h2>"
        yield from table("", UPKEEP_HEADS, _upkeep(floor, sheet))
    if not sheet.steps:
        yield "<p>No step is planned for this crew.</p>"
    yield f"<p><b>{escape(RELEASES_MOVE)}</b> {escape(_why_rounded(floor))}</p>"
    if sheet.resting:
        yield "<h2>Hands off: cures and waits that run this day</h2>"
        yield from table("", REST_HEADS, _resting(floor, sheet))
    steps = [(one.number, one.operation) for one in sheet.steps]
    steps += [(number, one.row.operation) for number, one, _ in sheet.numbered_upkeep]
    yield from caution_block(floor, steps)
    if sheet.people:
        yield "<h2>Who is where</h2>"
        heads = (("Person", 18), ("Steps of this sheet, in order of time", 82))
        yield from table("", heads, _people(floor, sheet))
    end = f"{escape(sheet.crew)}, {sheet.day}: {steps_of(count)}"
    yield f'<p class="end">End of {end}.</p>'


def _why_rounded(floor: Floor) -> str:
    minutes = floor.plan.problem.axis.tick_minutes
    return (
        f"Work is planned for a whole crew in steps of {minutes} minutes, so planned "
        "hours may lie a little above the standard."
    )


def _row(floor: Floor, step: Step) -> str:
    cells = [
        str(step.number),
        _time(floor, step),
        _boat(floor, step.operation),
        _what(floor, step),
        lines(floor.where(step.operation)),
        "<br>".join(_person(floor, step, one) for one in step.people),
        _before(floor, step),
        _record(floor, step),
    ]
    marks = ("", "", "", "", "", "", "", ' class="sign"')
    inside = "".join(f"<td{mark}>{cell}</td>" for mark, cell in zip(marks, cells))
    return f"<tr>{inside}</tr>"


def _time(floor: Floor, step: Step) -> str:
    begins = moment(floor, step.begins, step.begins)
    ends = moment(floor, step.ends, step.begins)
    return f"<b>{begins}<br>to {ends}</b>" if ends != begins else f"<b>{begins}</b>"


def _beyond(floor: Floor, step: Step) -> str:
    """What of a step lies on other days."""
    texts = []
    if step.start < step.begins:
        texts.append(f"begun {moment(floor, step.start)}")
    if step.ends < step.finish:
        texts.append(f"goes on until {moment(floor, step.finish)}")
    text = "; ".join(texts)
    return text[:1].upper() + text[1:]


def _boat(floor: Floor, operation: str) -> str:
    order = floor.operations[operation].order
    model = floor.names.model(floor.model(operation))
    return f"<b>{escape(order)}</b><br>{escape(model)}"


def _what(floor: Floor, step: Step) -> str:
    operation = floor.operations[step.operation]
    worked = "No crew"
    if step.crew:
        worked = f"Crew {step.crew}, {_labor(step)}"
    told = [
        floor.parts(step.operation),
        floor.names.station(operation.station),
        worked,
        _beyond(floor, step),
    ]
    flags = "".join(
        f'<br><span class="flag">{text}</span>'
        for text, holds in (
            ("GATE", floor.is_gate(step.operation)),
            ("ALONE ON THIS PART", operation.exclusive_part),
            ("NO STOP", operation.one_go),
        )
        if holds
    )
    return f"<b>{escape(floor.name(step.operation))}</b><br>{lines(told)}{flags}"


def _labor(step: Step) -> str:
    """Hours of the day, of the whole step, and the standard, each if it says more."""
    today, whole = hours(step.day_hours), hours(step.planned_hours)
    standard = hours(step.standard_hours)
    if today != whole:
        text = f"{today} of {whole} labor-hours planned this day"
        return text if whole == standard else f"{text}, standard {standard} in all"
    if whole != standard:
        rest = " in all" if step.start < step.begins else ""
        return f"{whole} labor-hours planned, standard {standard}{rest}"
    return f"{whole} labor-hours"


def _person(floor: Floor, step: Step, one: Presence) -> str:
    name = escape(one.person)
    if one.standing:
        name += f" ({one.standing})"
    if (one.start, one.finish) == (step.begins, step.ends):
        return name
    span = times(floor, one.start, one.finish)
    return f'{name} <span class="time">{span}</span>'


def _before(floor: Floor, step: Step) -> str:
    texts = release_texts(floor, step.operation, step.releases)
    keys = floor.cautions(step.operation)
    marked = [f'<span class="release">{escape(text)}</span>' for text in texts]
    if keys:
        titles = "all below" if len(keys) > 4 else ", ".join(map(caution_title, keys))
        marked.append(f'<span class="small">Caution: {escape(titles)}</span>')
    return "<br>".join(marked)


def _record(floor: Floor, step: Step) -> str:
    """Lines to fill in by hand."""
    told = [f"begun {LINE}", f"ended {LINE}", f"hours {LINE}"]
    if floor.is_gate(step.operation):
        told.append(tick("pass") + tick("fail"))
    if step.operation in floor.demolds:
        told.append(tick("cure is over"))
    told.append(f"initials {LINE}")
    return entries(told)


def _resting(floor: Floor, sheet: CrewSheet) -> Iterable[str]:
    for one in sheet.resting:
        following = [
            f"{floor.name(name)}, {moment(floor, floor.planned[name].start)}"
            for name in one.next_steps
        ]
        where = floor.where(one.before)
        cells = [
            f"<b>{moment(floor, one.until)}</b>",
            _boat(floor, one.before),
            escape(floor.parts(one.before)),
            lines(where),
            escape(resting_text(floor, one)),
            lines(following),
        ]
        yield "<tr>" + "".join(f"<td>{cell}</td>" for cell in cells) + "</tr>"


def _upkeep(floor: Floor, sheet: CrewSheet) -> Iterable[str]:
    for number, one, crew in sheet.numbered_upkeep:
        told = [
            from_to(floor, one.row.start, one.row.finish),
            f"Crew {one.row.crew}, {hours(one.day_hours)} labor-hours this day",
        ]
        people = [
            f"{stint.person} {times(floor, stint.start, stint.finish)}"
            for stint in crew
        ]
        cells = [
            str(number),
            f"<b>{escape(one.mold)}</b>",
            lines(told),
            lines(people),
            entries([f"done {LINE}", f"hours {LINE}", f"initials {LINE}"]),
        ]
        yield "<tr>" + "".join(f"<td>{cell}</td>" for cell in cells) + "</tr>"


def _people(floor: Floor, sheet: CrewSheet) -> Iterable[str]:
    for person, stints in sheet.people.items():
        told = "; ".join(
            f"{times(floor, one.start, one.finish)} step {number}"
            for number, one in stints
        )
        yield f"<tr><td><b>{escape(person)}</b></td><td>{escape(told)}</td></tr>"
