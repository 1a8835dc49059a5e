"""Duration, calendar, crew, skills and presence of people (R1 to R6, R13, R19)."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from itertools import pairwise

from scheduler.checking.clock import Pair, Spans
from scheduler.checking.document import Calendar, Document
from scheduler.checking.shape import Row

ROUNDING = 10**9  # hours are floats in the file: 1e-9 hours are not worth a tick


def ticks_of_hours(hours: float, crew: int, tick_minutes: int) -> int:
    """Whole ticks that a crew needs for some hours of labor, in exact arithmetic."""
    top, bottom = hours.as_integer_ratio()
    top = (top * ROUNDING - bottom) * 60
    return max(0, -(-top // (bottom * ROUNDING * crew * tick_minutes)))


def check_once(doc: Document) -> Iterator[str]:
    """Yield operations that are missing, planned twice or not in the problem."""
    counts = Counter(row["id"] for row in doc.planned_rows)
    for id in sorted(doc.operations.keys() - counts.keys()):
        yield f"Operation {id} is not in the plan."
    for id, count in counts.items():
        if id not in doc.operations:
            yield f"Operation {id} is planned but not in the problem."
        if count > 1:
            yield f"Operation {id} is in the plan {count} times."


def check_work(doc: Document) -> Iterator[str]:
    """Yield what is wrong with the work on each operation taken alone."""
    for id, row in doc.planned.items():
        operation = doc.operations[id]
        if doc.state(id) == "done":
            if row["crew"] or row["people"] or row["segments"]:
                yield f"{id} is done, yet the plan gives it people or time."
            continue
        yield from _crew_size(operation, row)
        yield from _time(doc, operation, row)
        yield from check_crew(doc, operation, row)


def _crew_size(operation: Row, row: Row) -> Iterator[str]:
    id, crew = operation["id"], row["crew"]
    if operation["skill"] is None:
        if crew or row["people"]:
            yield f"{id} needs no skill, yet the plan gives it a crew."
        return
    low, high = operation["crew_min"], operation["crew_max"]
    idle = crew == 0 and not row["segments"]  # nothing left to work: nobody needed
    if not low <= crew <= high and not idle:
        yield f"{id} has a crew of {crew}, but {low} to {high} are allowed."


def _needed_ticks(doc: Document, operation: Row, crew: int) -> int:
    tick = doc.clock.tick_minutes
    if operation["skill"] is None:
        return -(-operation["duration_minutes"] // tick)  # type: ignore[no-any-return]
    started = doc.state(operation["id"]) == "started"
    hours = operation["remaining_hours"] if started else operation["labor_hours"]
    return ticks_of_hours(hours, max(crew, 1), tick)


def _time(doc: Document, operation: Row, row: Row) -> Iterator[str]:
    id, clock = operation["id"], doc.clock
    started = doc.state(id) == "started"
    start, finish, segments = row["start"], row["finish"], row["segments"]
    needed = _needed_ticks(doc, operation, row["crew"])
    worked = sum(end - begin for begin, end in segments)
    if worked != needed:
        yield (
            f"{id} is worked for {clock.hours(worked)}, but a crew of {row['crew']} "
            f"needs {clock.hours(needed)}."
        )
    begin = segments[0][0] if segments else (finish if started else start)
    if begin < operation["earliest"]:
        yield (
            f"{id} begins {clock.when(begin)}, before it can: material and order are "
            f"there from {clock.when(operation['earliest'])} on."
        )
    if not segments:
        if started and finish < start:
            yield f"{id} finishes {clock.when(finish)}, before it was started."
        if not started and start != finish:
            yield (
                f"{id} has no worked spans, yet lasts from {clock.span(start, finish)}."
            )
        return
    if not started and start != begin:
        yield (
            f"{id} starts {clock.when(start)}, but is worked from {clock.when(begin)}."
        )
    if finish != segments[-1][1]:
        yield (
            f"{id} finishes {clock.when(finish)}, but is worked until "
            f"{clock.when(segments[-1][1])}."
        )
    calendar = doc.calendar_of(id)
    check = _one_go if operation["one_go"] else _pausable
    yield from check(doc, id, calendar, segments)


def _one_go(
    doc: Document, id: str, calendar: Calendar, segments: list[Pair]
) -> Iterator[str]:
    if len(segments) > 1:
        yield f"{id} must go in one go, but pauses {doc.clock.when(segments[0][1])}."
    for begin, end in segments:
        if not calendar.reach.covers(begin, end):
            closed = doc.clock.when(calendar.reach.first_outside(begin))
            yield (
                f"{id} must go in one go, but calendar {calendar.id} is closed, "
                f"{closed}."
            )


def _pausable(
    doc: Document, id: str, calendar: Calendar, segments: list[Pair]
) -> Iterator[str]:
    clock, open_time = doc.clock, calendar.open
    for begin, end in segments:
        if not open_time.covers(begin, end):
            closed = clock.when(open_time.first_outside(begin))
            yield f"{id} is worked while calendar {calendar.id} is closed, {closed}."
    for (_, end), (begin, _) in pairwise(segments):
        if begin <= end:
            yield f"{id} has worked spans that meet or overlap, {clock.when(begin)}."
        elif open_time.first_overlap(end, begin) is not None:
            yield (
                f"{id} pauses from {clock.span(end, begin)}, although calendar "
                f"{calendar.id} is open meanwhile."
            )


def check_crew(doc: Document, operation: Row, row: Row) -> Iterator[str]:
    """Yield what is wrong with the people on work: an operation or a service."""
    if operation["skill"] is None:
        return
    id, clock, segments = operation["id"], doc.clock, row["segments"]
    present: list[list[str]] = [[] for _ in segments]
    begins, ends = {one for one, _ in segments}, {other for _, other in segments}
    there_all_along: set[tuple[Spans, int, int]] = set()  # many have the same hours
    for person, begin, end in row["people"]:
        if person not in doc.people:
            yield (
                f"{id} has person {person}, who is not in the problem, "
                f"{clock.span(begin, end)}."
            )
            continue
        known = doc.people[person]
        if operation["skill"] not in (*known["skills"], *known["apprentice_in"]):
            yield (
                f"Person {person} is on {id} without the skill "
                f"{operation['skill']}, {clock.span(begin, end)}."
            )
        if begin not in begins or end not in ends:
            yield (
                f"Person {person} comes to or leaves {id} while it is worked, "
                f"{clock.span(begin, end)}; people change only at a break or stop."
            )
        for index, (one, other) in enumerate(segments):
            if begin <= one and other <= end:
                present[index].append(person)
        stint = doc.available[person], begin, end
        if stint not in there_all_along:
            away = list(_absent(doc, operation, row, (person, begin, end)))
            if not away:
                there_all_along.add(stint)
            yield from away
    yield from _crews(doc, operation, row, present)


def _crews(
    doc: Document, operation: Row, row: Row, present: list[list[str]]
) -> Iterator[str]:
    """Yield segments whose crew is too few, too many or without its leads."""
    id, clock = operation["id"], doc.clock
    passed: list[str] | None = None  # the crew of the segment before, found right
    for (begin, end), crew in zip(row["segments"], present, strict=True):
        if crew == passed:
            continue
        there, passed = set(crew), crew
        faults = list(_leads(doc, operation, sorted(there), (begin, end)))
        if len(there) != len(crew):
            faults.append(f"{id} counts a person twice, {clock.span(begin, end)}.")
        if len(there) != row["crew"]:
            faults.append(
                f"{id} is worked by {len(there)} people, not the crew of "
                f"{row['crew']}, {clock.span(begin, end)}."
            )
        if faults:
            passed = None
            yield from faults


def _leads(doc: Document, operation: Row, crew: list[str], span: Pair) -> Iterator[str]:
    """Yield a crew with too few people who have the skill in full (R19)."""
    skill = operation["skill"]
    full = [name for name in crew if skill in doc.people[name]["skills"]]
    learning = [name for name in crew if name not in full]
    needed = max(operation["leads_min"], 1 if learning else 0)
    if len(full) < needed and crew:
        yield (
            f"{operation['id']} is worked by {' and '.join(crew)}, of whom {len(full)} "
            f"have the skill {skill} in full, not the {needed} that its crew needs, "
            f"{doc.clock.span(*span)}."
        )


def _absent(
    doc: Document, operation: Row, row: Row, stint: tuple[str, int, int]
) -> Iterator[str]:
    """Yield the first time at which a person works but is not there."""
    person, begin, end = stint
    available = doc.available[person]
    for one, other in row["segments"]:
        first = one if one > begin else begin
        last = other if other < end else end
        if first >= last or available.covers(first, last):
            continue
        pieces = [(first, last)]
        if operation["one_go"]:
            calendar = doc.calendar_of(operation["id"])
            if calendar.relieved:
                pieces = list(calendar.breaks.without(first, last))
        for piece in pieces:
            if not available.covers(*piece):
                away = doc.clock.when(available.first_outside(piece[0]))
                yield f"Person {person} is on {operation['id']} but away, {away}."
                return
