"""Molds, places, stations, and people in two places at once (R5, R9 to R11)."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from itertools import chain, pairwise
from typing import NamedTuple

from scheduler.checking.clock import Spans
from scheduler.checking.document import Document
from scheduler.checking.services import service_work
from scheduler.checking.shape import Row


class Use(NamedTuple):
    """Something that takes an amount of a resource from one tick to another."""

    start: int
    finish: int
    amount: int
    by: str


def peaks(uses: Iterable[Use], capacity: int) -> Iterator[tuple[int, list[str]]]:
    """Yield each tick at which more than the capacity begins to be taken, and by whom.

    After an excess the next one is reported only once the load has been within the
    capacity again.
    """
    events: list[tuple[int, int, int, str]] = []
    for number, use in enumerate(uses):
        if use.start < use.finish and use.amount:
            events.append((use.start, number, use.amount, use.by))
            events.append((use.finish, number, -use.amount, use.by))
    events.sort()
    inside: dict[int, str] = {}
    load, position, over = 0, 0, False
    while position < len(events):
        tick = events[position][0]
        while position < len(events) and events[position][0] == tick:
            _, number, amount, by = events[position]
            load += amount
            if amount > 0:
                inside[number] = by
            else:
                inside.pop(number, None)
            position += 1
        if load > capacity and not over:
            yield tick, [inside[number] for number in sorted(inside)]
        over = load > capacity


def check_people(doc: Document) -> Iterator[str]:
    """Yield people who are on two operations, or services, at the same time."""
    busy: dict[str, list[tuple[int, int, str]]] = defaultdict(list)
    serviced = ((work["id"], row) for work, row in service_work(doc))
    for id, row in chain(doc.planned.items(), serviced):
        segments = row["segments"]
        for person, begin, end in row["people"]:
            stints = busy[person]
            for one, other in segments:
                start = one if one > begin else begin
                finish = other if other < end else end
                if start < finish:
                    stints.append((start, finish, id))
    for person, stints in busy.items():
        if all(one[1] <= other[0] for one, other in pairwise(sorted(stints))):
            continue  # one after the other: nothing to count
        uses = [Use(start, finish, 1, id) for start, finish, id in stints]
        for tick, by in peaks(uses, 1):
            names = list(dict.fromkeys(by))
            if len(names) > 1:  # one operation counted twice is told with its crew
                yield (
                    f"Person {person} is on {' and '.join(names)} at the same time, "
                    f"{doc.clock.when(tick)}."
                )


def check_stations(doc: Document) -> Iterator[str]:
    """Yield stations that are asked for more than their capacity."""
    uses: dict[str, list[Use]] = defaultdict(list)
    for id, row in doc.planned.items():
        if doc.state(id) == "done":
            continue
        start = doc.remaining_from(id)
        for station, amount in doc.operations[id]["demands"]:
            uses[station].append(Use(start, row["finish"], amount, id))
    for station, taken in uses.items():
        capacity = doc.stations[station]["capacity"]
        if capacity is None:
            continue
        for tick, by in peaks(taken, capacity):
            yield (
                f"Station {station} has a capacity of {capacity}, but is asked for "
                f"more by {' and '.join(by)}, {doc.clock.when(tick)}."
            )


class Expected(NamedTuple):
    """An occupation that a part must have."""

    kind: str  # mold | place
    first: str
    last: str
    last_of: str
    over: bool  # it has ended already
    may_be_told: bool  # ended, but an answer may still list it


def expected_occupations(doc: Document, part: Row) -> Iterator[Expected]:
    """What a part occupies, from which operation to which."""
    if part["mold_from"] is not None:
        over = doc.state(part["mold_to"]) == "done"
        yield Expected("mold", part["mold_from"], part["mold_to"], "end", over, False)
    if part["place_kind"] is not None:
        last, of = part["place_to"], part["place_to_of"]
        state = doc.state(last)
        told = of == "start" and state in ("done", "started")
        over = state == "done" or told
        yield Expected("place", part["place_from"], last, of, over, told)


def check_occupations(doc: Document) -> Iterator[str]:
    """Yield occupations that are missing, wrong, unknown or on top of one another."""
    listed: dict[tuple[str, str, str], list[Row]] = defaultdict(list)
    for row in doc.occupations:
        kind = "mold" if row["resource"] in doc.molds else "place"
        if kind == "place" and row["resource"] not in doc.places:
            yield f"{row['order']} {row['part']} stands in unknown {row['resource']}."
            continue
        listed[kind, row["order"], row["part"]].append(row)
    named: dict[tuple[str, str], set[str]] = defaultdict(set)
    for part in doc.parts:
        for expected in expected_occupations(doc, part):
            rows = listed.pop((expected.kind, part["order"], part["part"]), [])
            yield from _occupation(doc, part, expected, rows)
            if not expected.over:
                for id in (expected.first, expected.last):
                    named[id, expected.kind].update(row["resource"] for row in rows)
    for sort, order, name in listed:
        yield f"{order} {name} is listed in a {sort}, but has no need of one."
    yield from _names(doc, named)
    yield from _overlaps(doc)


def _occupation(
    doc: Document, part: Row, expected: Expected, rows: list[Row]
) -> Iterator[str]:
    who = f"{part['order']} {part['part']}"
    if expected.over and not expected.may_be_told:
        if rows:
            yield f"{who} is out of its {expected.kind}, yet the plan keeps it there."
        return
    if len(rows) != 1 and not expected.over:
        yield f"{who} must have one {expected.kind}, but {len(rows)} are listed."
    known = expected.first in doc.planned and expected.last in doc.planned
    for row in rows:
        yield from _suits(doc, part, expected, row)
        if not known:
            continue
        start = doc.end_of(expected.first, "start")
        finish = doc.end_of(expected.last, expected.last_of)
        if finish < start:
            yield (
                f"{who} would leave its {expected.kind} before it is there: "
                f"{expected.last} {expected.last_of}s {doc.clock.when(finish)}, "
                f"{expected.first} starts {doc.clock.when(start)}."
            )
        if (row["from"], row["to"]) != (start, finish):
            yield (
                f"{who} is listed in {row['resource']} "
                f"{doc.clock.span(row['from'], row['to'])}, but occupies it "
                f"{doc.clock.span(start, finish)}."
            )


def _suits(doc: Document, part: Row, expected: Expected, row: Row) -> Iterator[str]:
    model, name = doc.orders[part["order"]]["model"], row["resource"]
    who = f"{part['order']} {part['part']}"
    if expected.kind == "mold":
        mold = doc.molds[name]
        if mold["part"] != part["part"] or model not in mold["models"]:
            yield f"{who} of a {model} is in mold {name}, which does not make it."
        return
    place = doc.places[name]
    if place["kind"] != part["place_kind"]:
        yield f"{who} needs a {part['place_kind']}, but {name} is a {place['kind']}."
    if place["models"] and model not in place["models"]:
        yield f"{who} of a {model} is in {name}, where that model cannot stand."


def _names(doc: Document, named: dict[tuple[str, str], set[str]]) -> Iterator[str]:
    """Yield operations that name another mold or place than the part is in."""
    for id, row in doc.planned.items():
        for kind in ("mold", "place"):
            resources = named.get((id, kind), set())
            if resources and row[kind] not in resources:
                yield (
                    f"{id} names {kind} {row[kind]}, but its part is in "
                    f"{' and '.join(sorted(resources))}."
                )
            told = row[kind] is not None and (id, kind) not in named
            if told and row[kind] != doc.committed.get(id, {}).get(kind):
                yield (
                    f"{id} names {kind} {row[kind]}, but neither begins nor ends the "
                    f"time of a part in a {kind}."
                )


def _overlaps(doc: Document) -> Iterator[str]:
    uses: dict[str, list[Use]] = defaultdict(list)
    for row in doc.occupations:
        by = f"{row['order']} {row['part']}"
        uses[row["resource"]].append(Use(row["from"], row["to"], 1, by))
    for name, taken in uses.items():
        resource = doc.molds.get(name) or doc.places.get(name)
        if resource is None:
            continue
        capacity = resource.get("capacity", 1)
        kind = "Mold" if name in doc.molds else "Place"
        for tick, holders in peaks(taken, capacity):
            yield (
                f"{kind} {name} holds {' and '.join(holders)} at the same time, more "
                f"than {capacity}, {doc.clock.when(tick)}."
            )
        closed = Spans(resource["unavailable"])
        for use in taken:
            span = closed.first_overlap(use.start, use.finish)
            if span is not None:
                yield (
                    f"{kind} {name} holds {use.by} while it cannot be used, "
                    f"{doc.clock.span(*span)}."
                )
