"""Ways to break the small plan, and the assertion that the breach is told."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

from scheduler.checker import check
from tests.scheduler.small_plan import small_document

Document = dict[str, Any]
Change = Callable[[Document], object]
# What is changed in the valid plan, and words that one sentence must hold.
Mutations = dict[str, tuple[Change, tuple[str, ...]]]
VALID: Document = json.loads(json.dumps(small_document()))


def assert_told(mutation: tuple[Change, tuple[str, ...]]) -> None:
    """Break a copy of the valid plan and look for one sentence with all the words."""
    mutate, words = mutation
    document = copy.deepcopy(VALID)
    mutate(document)
    sentences = check(document)
    told = [one for one in sentences if all(word in one for word in words)]
    assert told, "\n".join(sentences) or "no violation at all"


def planned(document: Document, id: str) -> Document:
    """One operation of the answer."""
    rows = document["answer"]["operations"]
    return next(row for row in rows if row["id"] == id)


def found(document: Document, block: str, **keys: str) -> Document:
    """One object of the problem."""
    rows = document["problem"][block]
    return next(row for row in rows if keys.items() <= row.items())


def occupation(document: Document, resource: str, order: str) -> Document:
    """One occupation of the answer."""
    rows = document["answer"]["occupations"]
    wanted = {"resource": resource, "order": order}
    return next(row for row in rows if wanted.items() <= row.items())


def later(text: str, minutes: int) -> str:
    """An instant some minutes later."""
    moved = datetime.fromisoformat(text) + timedelta(minutes=minutes)
    return moved.isoformat(timespec="minutes")


def move(document: Document, id: str, minutes: int) -> None:
    """Move a whole operation with its people."""
    row = planned(document, id)
    for end in ("start", "finish"):
        row[end] = later(row[end], minutes)
    row["segments"] = [
        [later(a, minutes), later(b, minutes)] for a, b in row["segments"]
    ]
    for stint in row["people"]:
        stint["from"] = later(stint["from"], minutes)
        stint["to"] = later(stint["to"], minutes)


def cut(document: Document, id: str, begin: str, end: str) -> None:
    """Split the only worked span of an operation and shift its rest by the gap."""
    row = planned(document, id)
    ((start, finish),) = row["segments"]
    gap = datetime.fromisoformat(end) - datetime.fromisoformat(begin)
    finish = later(finish, int(gap.total_seconds()) // 60)
    row["segments"] = [[start, begin], [end, finish]]
    row["finish"] = finish
    for stint in row["people"]:
        stint["to"] = finish


def replace_person(document: Document, id: str, old: str, new: str) -> None:
    """Put another person on an operation."""
    for stint in planned(document, id)["people"]:
        if stint["id"] == old:
            stint["id"] = new


def resize(document: Document, id: str, crew: int, people: list[str]) -> None:
    """Give an operation another crew over its whole time."""
    row = planned(document, id)
    ends = {"from": row["segments"][0][0], "to": row["segments"][-1][1]}
    row["crew"] = crew
    row["people"] = [{"id": person} | ends for person in people]


def relocate(document: Document, old: str, new: str, order: str) -> None:
    """Put a part of an order in another mold or place, told the same everywhere."""
    occupation(document, old, order)["resource"] = new
    for row in document["answer"]["operations"]:
        for kind in ("mold", "place"):
            if row["id"].startswith(order) and row[kind] == old:
                row[kind] = new


def change(row: Document, **values: object) -> None:
    """Change fields of an object."""
    row.update({key.rstrip("_"): value for key, value in values.items()})


def change_person_inside(document: Document, id: str, at: str) -> None:
    """Let one of the crew leave and another come while the work goes on."""
    row = planned(document, id)
    first = row["people"][1]
    row["people"].append({"id": "LM-04", "from": at, "to": first["to"]})
    first["to"] = at


def level(document: Document, name: str) -> Document:
    """One level of the answer."""
    return next(row for row in document["answer"]["levels"] if row["name"] == name)


def result(document: Document, order: str) -> Document:
    """The result of one order."""
    return next(row for row in document["answer"]["orders"] if row["order"] == order)


def demand(document: Document, id: str, resource: str) -> None:
    """Let an operation demand one of a station."""
    row = found(document, "operations", id=id)
    row["demands"].append({"resource": resource, "amount": 1})


def available(document: Document, id: str) -> list[list[str]]:
    """When a person is at work."""
    return found(document, "people", id=id)["available"]
