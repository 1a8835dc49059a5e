"""A plan file as look-up tables, once its shape and its references hold."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from reprlib import repr as short
from typing import Any
from zoneinfo import ZoneInfo

from scheduler.checking.clock import Clock, NotReadable, Pair, Spans, minutes_of
from scheduler.checking.fields import (
    ANSWER_LISTS,
    OBJECTIVE,
    PROBLEM_LISTS,
    SCALARS,
)
from scheduler.checking.shape import Row, Shapes

SCHEMA = "hullpace-plan/1"
PROBLEM_KEYS = {
    *PROBLEM_LISTS,
    *SCALARS,
    *("objective", "time_zone", "tick_minutes", "start"),
}
ANSWER_KEYS = {*ANSWER_LISTS}


class Calendar:
    """Open time of a trade, and where one-go work may be."""

    __slots__ = ("breaks", "id", "open", "reach", "relieved", "starts_per_slot")

    def __init__(self, row: Row, windows: Iterable[Pair] = ()) -> None:
        opened = [*row["open"], *windows]
        self.id: str = row["id"]
        self.open = Spans(opened)
        self.breaks = Spans(row["breaks"])
        self.relieved: bool = row["breaks_relieved"]
        self.starts_per_slot: int | None = row["starts_per_slot"]
        relieved = row["breaks"] if self.relieved else []
        self.reach = Spans([*opened, *relieved])


@dataclass(slots=True)
class Document:
    """A plan file that can be checked; rows are the objects of the file in ticks."""

    clock: Clock
    facts: Row  # what the problem says once
    calendars: dict[str, Calendar]  # regular time
    manned: dict[str, Calendar]  # with the windows that the answer opens
    windows: dict[str, Row]
    overtime_limits: dict[str, Row]
    overtime: list[Row]
    people: dict[str, Row]
    available: dict[str, Spans]  # in the opened windows as well
    molds: dict[str, Row]
    places: dict[str, Row]
    stations: dict[str, Row]
    orders: dict[str, Row]
    parts: list[Row]
    operations: dict[str, Row]
    waits: list[Row]
    temperature: list[Row]
    limits: list[Row]
    committed: dict[str, Row]
    published: list[Row]
    planned_rows: list[Row]
    planned: dict[str, Row]
    occupations: list[Row]
    services: list[Row]
    given_services: list[Row]
    moves: list[Row]
    results: list[Row]
    levels: list[Row]

    def state(self, operation: str) -> str | None:
        """What is given about an operation: done, started, frozen, locked or None."""
        row = self.committed.get(operation)
        return None if row is None else row["why"]

    def calendar_of(self, operation: str) -> Calendar:
        """Where an operation can be worked: only with a crew in opened windows."""
        row = self.operations[operation]
        known = self.calendars if row["skill"] is None else self.manned
        return known[row["calendar"]]

    def remaining_from(self, operation: str) -> int:
        """Where the part of an operation begins that is still to be worked."""
        row = self.planned[operation]
        if self.state(operation) in ("started", "done"):
            return row["segments"][0][0] if row["segments"] else row["finish"]  # type: ignore[no-any-return]
        return row["start"]  # type: ignore[no-any-return]

    def end_of(self, operation: str, which: str) -> int:
        """Start or finish of a planned operation."""
        return self.planned[operation]["start" if which == "start" else "finish"]  # type: ignore[no-any-return]


def read_document(document: Any) -> tuple[Document | None, list[str]]:
    """Read a plan file; without a document, the faults say why."""
    if not isinstance(document, dict):
        return None, ["The plan file holds no object."]
    if document.get("schema") != SCHEMA:
        found = short(document.get("schema"))
        return None, [f"The schema of the plan file is {found}, not {SCHEMA}."]
    problem, answer = document.get("problem"), document.get("answer")
    if not isinstance(problem, dict) or not isinstance(answer, dict):
        return None, ["The plan file has no problem block or no answer block."]
    faults = [
        *_wrong_keys(problem, PROBLEM_KEYS, "problem"),
        *_wrong_keys(answer, ANSWER_KEYS, "answer"),
    ]
    if faults:
        return None, faults
    try:
        clock = _read_clock(problem)
    except NotReadable as fault:
        return None, [f"problem: {fault}."]
    return _read_blocks(problem, answer, clock)


def _wrong_keys(block: Row, keys: set[str], name: str) -> Iterator[str]:
    for key in sorted(keys - block.keys()):
        yield f"{name}: {key} is missing."
    for key in sorted(map(short, block.keys() - keys)):
        yield f"{name}: {key} is not known to the checker."


def _read_clock(problem: Row) -> Clock:
    tick, name = problem.get("tick_minutes"), problem.get("time_zone")
    if type(tick) is not int or tick < 1 or (24 * 60) % tick:
        raise NotReadable(f"tick_minutes {short(tick)} does not divide a day")
    try:
        zone = ZoneInfo(name) if isinstance(name, str) else None
    except (KeyError, ValueError, OSError):
        zone = None
    if zone is None:
        raise NotReadable(f"time_zone {short(name)} is not known")
    try:
        return Clock(minutes_of(problem.get("start")), tick, zone)
    except NotReadable as fault:
        raise NotReadable(f"start: {fault}") from None


def _read_blocks(
    problem: Row, answer: Row, clock: Clock
) -> tuple[Document | None, list[str]]:
    shapes = Shapes(clock.ticks)
    facts = shapes.row({key: problem[key] for key in SCALARS}, SCALARS, "problem")
    objective = shapes.row(problem["objective"], OBJECTIVE, "objective")
    lists = {
        name: shapes.rows(problem, name, kinds) for name, kinds in PROBLEM_LISTS.items()
    }
    found = {
        name: shapes.rows(answer, name, kinds) for name, kinds in ANSWER_LISTS.items()
    }
    if shapes.faults or facts is None or objective is None:
        return None, shapes.faults
    built = _build(clock, facts | {"objective": objective}, lists, found)
    faults = [*_repeated(lists), *_unknown(built), *_senseless(built, objective)]
    return (None if faults else built), faults


def _build(
    clock: Clock, facts: Row, lists: dict[str, list[Row]], found: dict[str, list[Row]]
) -> Document:
    def by(name: str, key: str = "id") -> dict[str, Row]:
        return {row[key]: row for row in lists[name]}

    planned: dict[str, Row] = {}
    for row in found["operations"]:
        planned.setdefault(row["id"], row)
    operations, windows = by("operations"), by("overtime")
    opened_ids = {row["id"] for row in found["overtime"]}
    opened = [row for id, row in windows.items() if id in opened_ids]

    def asked(person: str) -> list[Pair]:
        return [row["window"] for row in opened if person in row["people"]]

    def of_calendar(name: str) -> list[Pair]:
        return [row["window"] for row in opened if row["calendar"] == name]

    there: dict[tuple[Pair, ...], Spans] = {}  # many have the same hours

    def available(row: Row) -> Spans:
        key = (*row["available"], *asked(row["id"]))
        if key not in there:
            there[key] = Spans(key)
        return there[key]

    return Document(
        clock=clock,
        facts=facts,
        calendars={row["id"]: Calendar(row) for row in lists["calendars"]},
        manned={
            row["id"]: Calendar(row, of_calendar(row["id"]))
            for row in lists["calendars"]
        },
        windows=windows,
        overtime_limits=by("overtime_limits", "person"),
        overtime=found["overtime"],
        people=by("people"),
        available={row["id"]: available(row) for row in lists["people"]},
        molds=by("molds"),
        places=by("places"),
        stations=by("stations"),
        orders=by("orders", "order"),
        parts=lists["parts"],
        operations=operations,
        waits=lists["waits"],
        temperature=sorted(lists["temperature"], key=lambda row: row["date"]),
        limits=lists["limits"],
        committed=by("committed", "operation"),
        published=lists["published"],
        planned_rows=found["operations"],
        planned={id: row for id, row in planned.items() if id in operations},
        occupations=found["occupations"],
        services=found["services"],
        given_services=lists["services"],
        moves=found["moves"],
        results=found["orders"],
        levels=found["levels"],
    )


def _repeated(lists: dict[str, list[Row]]) -> Iterator[str]:
    keys = dict.fromkeys(PROBLEM_LISTS, ("id",))
    keys |= {"orders": ("order",), "parts": ("order", "part")}  # type: ignore[dict-item]
    keys |= {"committed": ("operation",), "published": ("operation",)}
    keys |= {"temperature": ("date",), "overtime_limits": ("person",)}
    keys |= {"services": ("mold", "from")}  # type: ignore[dict-item]
    seen: set[tuple[str, ...]] = set()
    for name, rows in lists.items():
        group = "molds" if name == "places" else name  # both are occupied by name
        for row in rows:
            key = (group, *(str(row[part]) for part in keys[name]))
            if key in seen:
                yield f"The problem lists {' '.join(key[1:])} twice under {name}."
            seen.add(key)


def _unknown(doc: Document) -> Iterator[str]:
    """Names in the problem that lead nowhere."""

    def each(
        where: str, what: str, names: Iterable[str | None], known: Iterable[str]
    ) -> Iterator[str]:
        for name in names:
            if name is not None and name not in known:
                yield f"{where} names {what} {name}, which the problem does not have."

    calendars, operations = doc.calendars, doc.operations
    yield from each(
        "The problem", "calendar", [doc.facts["delivery_calendar"]], calendars
    )
    for id, row in operations.items():
        where = f"Operation {id}"
        yield from each(where, "order", [row["order"]], doc.orders)
        yield from each(where, "calendar", [row["calendar"], row["slots"]], calendars)
        yield from each(where, "station", [row["station"]], doc.stations)
        yield from each(
            where, "station", [name for name, _ in row["demands"]], doc.stations
        )
    for id, row in doc.molds.items():
        yield from each(f"Mold {id}", "calendar", [row["service_calendar"]], calendars)
    named = [row["mold"] for row in doc.given_services]
    yield from each("A service that is given", "mold", named, doc.molds)
    for id, row in doc.windows.items():
        where = f"Overtime window {id}"
        yield from each(where, "calendar", [row["calendar"]], calendars)
        yield from each(where, "person", row["people"], doc.people)
    for row in doc.waits:
        where = f"Wait {row['id']}"
        steps = [row["before"], row["after"], row["reprep"]]
        yield from each(where, "operation", steps, operations)
        yield from each(where, "calendar", [row["calendar"]], calendars)
    for row in doc.parts:
        where = f"Part {row['part']} of {row['order']}"
        ends = ("mold_from", "mold_to", "place_from", "place_to")
        yield from each(where, "order", [row["order"]], doc.orders)
        yield from each(where, "operation", [row[end] for end in ends], operations)
    for row in (*doc.committed.values(), *doc.published):
        where = f"What is given on {row['operation']}"
        yield from each(where, "operation", [row["operation"]], operations)


def _senseless_cure(doc: Document, row: Row) -> Iterator[str]:
    """A wait that depends on the temperature, but cannot be judged by it."""
    where = f"Wait {row['id']}"
    if (row["activation_kj_per_mol"] is None) != (row["reference_celsius"] is None):
        yield f"{where} has only one of activation energy and reference temperature."
    elif row["activation_kj_per_mol"] is not None:
        if row["data_sheet_min_minutes"] is None or row["clock"] == "work":
            yield f"{where} depends on the temperature without a wall-clock data sheet."
        if not doc.temperature or doc.temperature[0]["date"] > doc.clock.day(0):
            yield f"{where} depends on a temperature that is not given from the start."


def _senseless_reprep(doc: Document) -> Iterator[str]:
    """Re-preparations and waits that do not name each other."""
    meant = {(row["id"], row["reprep"]) for row in doc.waits if row["reprep"]}
    told = {
        (row["only_if"], id) for id, row in doc.operations.items() if row["only_if"]
    }
    for wait, operation in sorted(meant ^ told):
        yield f"Wait {wait} and its re-preparation {operation} do not name each other."
    for row in doc.waits:
        if row["reprep"] and row["max_minutes"] is None:
            yield f"Wait {row['id']} has a re-preparation and no maximum."


def _senseless_standing(doc: Document) -> Iterator[str]:
    """Leads and apprentices that the skills of people contradict."""
    learned = {skill for row in doc.people.values() for skill in row["apprentice_in"]}
    for id, row in doc.people.items():
        for skill in sorted(set(row["apprentice_in"]) & set(row["skills"])):
            yield f"Person {id} has the skill {skill} in full and as an apprentice."
        if set(row["lead_for"]) != learned & set(row["skills"]):
            yield (
                f"Person {id} leads in {' and '.join(row['lead_for']) or 'nothing'}, "
                "not in those of their skills that have apprentices."
            )
    for id, row in doc.operations.items():
        if row["skill"] is not None and row["leads_min"] > row["crew_min"]:
            yield f"Operation {id} needs more leads than its smallest crew has people."


def _senseless(doc: Document, objective: Row) -> Iterator[str]:
    """Rows that cannot be understood, although every field can."""
    for id, row in doc.operations.items():
        if row["skill"] is not None and not 1 <= row["crew_min"] <= row["crew_max"]:
            yield f"Operation {id} needs a skill but no crew of at least 1."
        if row["skill"] is None and row["duration_minutes"] is None:
            yield f"Operation {id} has neither a skill nor a duration."
        if (
            doc.state(id) == "started"
            and row["skill"]
            and row["remaining_hours"] is None
        ):
            yield f"Operation {id} is started but has no remaining hours."
    for id, row in doc.molds.items():
        wanted = ("service_every", "service_hours", "service_calendar")
        if len({not row[name] for name in wanted}) > 1:
            yield f"Mold {id} has not all of {', '.join(wanted)}, or one of them is 0."
        crew = ("service_skill", "service_crew")
        if len({not row[name] for name in crew}) > 1:
            yield f"Mold {id} has only one of {' and '.join(crew)}, or a crew of 0."
        elif row["service_skill"] and row["service_every"] is None:
            yield f"Mold {id} has people for a service that it does not need."
    for row in doc.parts:
        where = f"Part {row['part']} of {row['order']}"
        if (row["mold_from"] is None) != (row["mold_to"] is None):
            yield f"{where} has only one end of its time in a mold."
        if (
            len({row[end] is None for end in ("place_kind", "place_from", "place_to")})
            > 1
        ):
            yield f"{where} has a place without kind, first or last operation."
    yield from _senseless_standing(doc)
    yield from _senseless_reprep(doc)
    for row in doc.waits:
        if row["clock"] == "work" and row["calendar"] is None:
            yield f"Wait {row['id']} counts open time but names no calendar."
        yield from _senseless_cure(doc, row)
    for row in doc.committed.values():
        if row["start"] is None and row["why"] in ("done", "started", "frozen"):
            yield f"Operation {row['operation']} is {row['why']} without a start."
        if row["finish"] is None and row["why"] in ("done", "frozen"):
            yield f"Operation {row['operation']} is {row['why']} without a finish."
    working = {row["order"] for row in doc.operations.values()}
    for order in sorted(doc.orders.keys() - working):
        yield f"Order {order} has no operations."
    names = objective["levels"]
    if not names or len(set(names)) != len(names):
        yield "The objective has no levels or one of them twice."
