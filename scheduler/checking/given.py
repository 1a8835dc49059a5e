"""Done, started, frozen and locked work; moves inside the frozen window (R12)."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from scheduler.checking.clock import Spans
from scheduler.checking.document import Document
from scheduler.checking.resources import expected_occupations
from scheduler.checking.shape import Row


def check_given(doc: Document) -> Iterator[str]:
    """Yield what the plan does not take as given."""
    where = Whereabouts(doc)
    for id, given in doc.committed.items():
        if id in doc.planned:
            yield from _times(doc, given)
            yield from _holds(given, where)
            yield from _crew(doc, given)
    yield from _moves(doc)


def _times(doc: Document, given: Row) -> Iterator[str]:
    row = doc.planned[given["operation"]]
    for end in ("start", "finish"):
        if given[end] is not None and row[end] != given[end]:
            yield (
                f"{row['id']} is {given['why']} with {end} "
                f"{doc.clock.when(given[end])}, but the plan says "
                f"{doc.clock.when(row[end])}."
            )


class Whereabouts:
    """Molds and places of the parts that an operation begins, ends or works on."""

    def __init__(self, doc: Document) -> None:
        self._operations = doc.operations
        self._listed: dict[tuple[str, str, str], set[str]] = defaultdict(set)
        for row in doc.occupations:
            kind = "mold" if row["resource"] in doc.molds else "place"
            self._listed[kind, row["order"], row["part"]].add(row["resource"])
        self._at_ends: dict[tuple[str, str], set[str]] = defaultdict(set)
        self.over: set[tuple[str, str]] = set()
        for part in doc.parts:
            for one in expected_occupations(doc, part):
                here = self._listed[one.kind, part["order"], part["part"]]
                for id in (one.first, one.last):
                    if one.over:
                        self.over.add((id, one.kind))
                    else:
                        self._at_ends[id, one.kind] |= here

    def of(self, id: str, kind: str) -> set[str]:
        """Where the plan has the part of an operation."""
        if (id, kind) in self._at_ends:
            return self._at_ends[id, kind]
        operation = self._operations[id]
        return set().union(
            *(
                self._listed[kind, operation["order"], part]
                for part in operation["parts"]
            )
        )


def _holds(given: Row, where: Whereabouts) -> Iterator[str]:
    id = given["operation"]
    for kind in ("mold", "place"):
        found = where.of(id, kind)
        left = (id, kind) in where.over  # what a part has left is a fact of the past
        if given[kind] is not None and given[kind] not in found and not left:
            yield (
                f"{id} is {given['why']} in {kind} {given[kind]}, but the plan has its "
                f"part in {' and '.join(sorted(found)) or 'none'}."
            )


def _crew(doc: Document, given: Row) -> Iterator[str]:
    """Yield changed crews: a committed one is whole, of a pinned one the named stay."""
    id, why = given["operation"], given["why"]
    row = doc.planned[id]
    if why == "done":
        return
    if given["crew"] is not None and row["crew"] != given["crew"]:
        yield f"{id} is {why} with a crew of {given['crew']}, not {row['crew']}."
    people = {person for person, _, _ in row["people"]}
    for person in sorted(set(given["people"]) - people):
        yield f"{id} is {why} with {person}, who is not on it."
    if why == "frozen" or given["stints"]:
        for person in sorted(people - set(given["people"])):
            yield f"{id} is {why} without {person}, who is on it."
        if given["stints"] and sorted(given["stints"]) != sorted(row["people"]):
            yield f"{id} is {why}, but the times of its people are changed."
        return
    for person in given["people"]:
        stints = Spans([stint[1:] for stint in row["people"] if stint[0] == person])
        if not all(stints.covers(*segment) for segment in row["segments"]):
            yield f"{id} is {why} with {person}, who is not on all of it."


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
