"""How sheets, travellers and the calendar say times, releases and cautions."""

from __future__ import annotations

from typing import TYPE_CHECKING

from models.cautions import CAUTIONS, DEFER

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from scheduler.sheets.floor import Floor
    from scheduler.sheets.releases import Release, Resting

RELEASES_MOVE = (
    "Release times follow from planned ends. Where the step before ends later, its "
    "release moves as much later; none may be shortened. A longer time on the "
    "material's data sheet wins."
)
UNKNOWN_CAUTIONS = (
    "The yard's files do not say which cautions apply to every step here, so all of "
    "them are printed."
)
_KINDS = {"cure": "cure", "tack": "tack time", "bond": "wait before bonding"}


def moment(floor: Floor, tick: int, beside: int | None = None) -> str:
    """A tick in the yard's time, with its day unless `beside` is on the same day.

    The year is named where it is not that of the day from which the plan may change.
    Where clocks go back and a reading occurs twice, the name of the zone is added.
    """
    axis = floor.plan.problem.axis
    local = axis.local(tick)
    text = f"{local:%H:%M}"
    if local.utcoffset() != local.replace(fold=1 - local.fold).utcoffset():
        text += f" {local:%Z}"
    if beside is not None and axis.local(beside).date() == local.date():
        return text
    year = "" if local.year == floor.first_day.year else f" {local.year}"
    return f"{local:%a %b} {local.day}{year}, {text}"


def from_to(floor: Floor, start: int, finish: int) -> str:
    """A span of time; the day of its end only where it is another."""
    return f"{moment(floor, start)} – {moment(floor, finish, start)}"


def times(floor: Floor, start: int, finish: int) -> str:
    """A span of time of one day, without the day."""
    return f"{moment(floor, start, start)}–{moment(floor, finish, start)}"


def hours(count: float) -> str:
    """Hours, to a tenth at most."""
    return f"{count:.1f}".removesuffix(".0")


def steps_of(count: int) -> str:
    """A number of steps, in words."""
    return f"{count} {'step' if count == 1 else 'steps'}"


def release_texts(
    floor: Floor,
    operation: str,
    releases: Iterable[Release],
    call: Callable[[str], str] | None = None,
) -> list[str]:
    """What the steps before ask, in sentences, without what is a fact already.

    `call` says how the steps before are called; by default by name, with their time.
    """
    waits: list[str] = []
    plain: list[str] = []
    for one in releases:
        step = call(one.before) if call else floor.name(one.before)
        when = "" if call else f", {_when(floor, one)}"
        start = "the start of " if one.before_of == "start" else ""
        verb = _verb(floor, operation, one)
        if one.is_wait:
            kind = _KINDS.get(one.kind, "wait")
            opens, least = moment(floor, one.opens), hours(one.min_hours)
            text = f"{kind}, at least {least} h after {start}{step}{when}."
            waits.append(f"Do not {verb} before {opens}: {text}")
        elif not one.is_fact:
            passed = " (gate passed)" if floor.is_gate(one.before) else ""
            plain.append(f"{start}{step}{passed}{when}")
        if one.closes is not None:
            since = "" if one.is_wait else f", counted from {start}{step}"
            closes = moment(floor, one.closes)
            waits.append(f"{verb.capitalize()} by {closes} at the latest{since}.")
    return [*waits, *([f"After {'; '.join(plain)}."] if plain else [])]


def _verb(floor: Floor, operation: str, one: Release) -> str:
    """What a release is for."""
    if one.counts_for == "end":
        return "finish"
    return "demold" if operation in floor.demolds else "begin"


def _when(floor: Floor, one: Release) -> str:
    """From when a release counts, and whether that is a fact."""
    instant = "start" if one.before_of == "start" else "end"
    known = "true" if one.is_fact else "planned"
    return f"{known} {instant} {moment(floor, one.since)}"


def resting_text(floor: Floor, one: Resting) -> str:
    """Why a part must be left alone."""
    since = "since" if one.is_fact else "from, as planned,"
    kind = _KINDS.get(one.kind, one.kind)
    when = moment(floor, one.since)
    return f"{kind.capitalize()} after {floor.name(one.before)}, {since} {when}"


def caution_title(key: str) -> str:
    """What a caution is about, in a few words."""
    return CAUTIONS[key].split(":", 1)[0]


def caution_body(key: str) -> str:
    """What a caution asks for."""
    return CAUTIONS[key].split(":", 1)[1].strip()


def plan_text(floor: Floor) -> str:
    """Which plan a page was printed from."""
    local = floor.made.astimezone(floor.plan.problem.axis.zone)
    return f"Plan made {local:%Y-%m-%d %H:%M}"


def caution_texts(keys: Iterable[str]) -> list[str]:
    """Cautions in full, and whom to follow."""
    texts = [CAUTIONS[key] for key in dict.fromkeys(keys)]
    return [*texts, DEFER] if texts else []
