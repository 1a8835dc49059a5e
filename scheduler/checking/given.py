"""Done, started, frozen and locked work; moves inside the frozen window (R12)."""

from __future__ import annotations

from collections.abc import Iterator

from scheduler.checking.clock import Spans
from scheduler.checking.document import Document
from scheduler.checking.resources import expected_occupations
from scheduler.checking.shape import Row


def check_given(doc: Document) -> Iterator[str]:
    """Yield what the plan does not take as given."""
    resources = _resources(doc)
    for id, given in doc.committed.items():
        if id in doc.planned:
            yield from _times(doc, given)
            yield from _holds(doc, given, resources)
            yield from _crew(doc, given)
    yield from _moves(doc)


def _times(doc: Document, given: Row) -> Iterator[str]:
    row = doc.planned[given["operation"]]
    for end in ("start", "finish"):
        if end == "finish" and given["why"] == "started":
            continue  # how long the rest takes is for the plan to say
        if given[end] is not None and row[end] != given[end]:
            yield (
                f"{row['id']} is {given['why']} with {end} "
                f"{doc.clock.when(given[end])}, but the plan says "
                f"{doc.clock.when(row[end])}."
            )


def _resources(doc: Document) -> dict[tuple[str, str], set[str]]:
    """Molds and places that an operation begins, ends or is worked in."""
    listed: dict[tuple[str, str, str], set[str]] = {}
    for row in doc.occupations:
        kind = "mold" if row["resource"] in doc.molds else "place"
        listed.setdefault((kind, row["order"], row["part"]), set()).add(row["resource"])
    at_ends: dict[tuple[str, str], set[str]] = {}
    for part in doc.parts:
        for one in expected_occupations(doc, part):
            if not one.over:
                here = listed.get((one.kind, part["order"], part["part"]), set())
                for id in (one.first, one.last):
                    at_ends.setdefault((id, one.kind), set()).update(here)
    for id in doc.committed:
        operation = doc.operations[id]
        for kind in ("mold", "place"):
            if (id, kind) not in at_ends:
                keys = [(kind, operation["order"], part) for part in operation["parts"]]
                inside: set[str] = set().union(*(listed.get(key, ()) for key in keys))
                at_ends[id, kind] = inside
    return at_ends


def _holds(
    doc: Document, given: Row, resources: dict[tuple[str, str], set[str]]
) -> Iterator[str]:
    id, why = given["operation"], given["why"]
    for kind in ("mold", "place"):
        found = resources[id, kind]
        past = why == "done" and not found  # the part has left since
        if given[kind] is not None and given[kind] not in found and not past:
            yield (
                f"{id} is {why} in {kind} {given[kind]}, but the plan has its part in "
                f"{' and '.join(sorted(found)) or 'none'}."
            )


def _crew(doc: Document, given: Row) -> Iterator[str]:
    """Yield changed crews: a frozen one is whole, of a locked one the named stay."""
    id, why = given["operation"], given["why"]
    row = doc.planned[id]
    if why not in ("frozen", "locked"):
        return
    if given["crew"] is not None and row["crew"] != given["crew"]:
        yield f"{id} is {why} with a crew of {given['crew']}, not {row['crew']}."
    people = {person for person, _, _ in row["people"]}
    for person in sorted(set(given["people"]) - people):
        yield f"{id} is {why} with {person}, who is not on it."
    if why == "frozen":
        for person in sorted(people - set(given["people"])):
            yield f"{id} is frozen without {person}, who is on it."
        if given["stints"] and sorted(given["stints"]) != sorted(row["people"]):
            yield f"{id} is frozen, but the times of its people are changed."
        return
    for person in given["people"]:
        stints = Spans([stint[1:] for stint in row["people"] if stint[0] == person])
        if not all(stints.covers(*segment) for segment in row["segments"]):
            yield f"{id} is locked with {person}, who is not on all of it."


def _moves(doc: Document) -> Iterator[str]:
    """Yield published work in the frozen window that moves and is not listed."""
    published = {row["operation"]: row for row in doc.published}
    listed = set()
    for move in doc.moves:
        id = move["operation"]
        if id not in doc.planned:
            yield f"A move of {id} is listed, but it is not planned."
            continue
        listed.add(id)
        before = published.get(id)
        if before is None or before["start"] != move["from"]:
            yield f"{id} is listed as moved from a start that was not published."
        if doc.planned[id]["start"] != move["to"]:
            yield f"{id} is listed as moved to a start that it does not have."
    for id, row in published.items():
        if id not in doc.planned or row["start"] >= doc.facts["frozen_until"]:
            continue
        excused = doc.state(id) in ("done", "started", "locked")
        start = doc.planned[id]["start"]
        if start != row["start"] and not excused and id not in listed:
            yield (
                f"{id} was published for {doc.clock.when(row['start'])} inside "
                f"the frozen window, moves to {doc.clock.when(start)}, and no cause is "
                "told."
            )
