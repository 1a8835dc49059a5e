"""Overtime: inside opened windows, by those who may, within limits (R18).

That nothing is worked outside regular time but in opened windows, and by nobody else
than their people, follows from the rules of work: a window that the answer does not
list is closed time there.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from datetime import date, timedelta
from fractions import Fraction
from itertools import pairwise

from scheduler.checking.clock import Pair, Spans
from scheduler.checking.document import Document
from scheduler.checking.services import service_work

Worked = dict[tuple[str, str], list[Pair]]  # by window and person


def worked_in_windows(doc: Document) -> Worked:
    """What each person works in each window, on operations and on services."""
    rows = [*doc.planned.values(), *(row for _, row in service_work(doc))]
    found: dict[tuple[str, str], list[Pair]] = defaultdict(list)
    for id, window in doc.windows.items():
        first, last = window["window"]
        for row in rows:
            if row["finish"] <= first or row["start"] >= last:
                continue
            for person, begin, end in row["people"]:
                if person not in window["people"]:
                    continue
                for one, other in row["segments"]:
                    start = max(one, begin, first)
                    finish = min(other, end, last)
                    if start < finish:
                        found[id, person].append((start, finish))
    return {key: list(Spans(spans).pairs()) for key, spans in found.items()}


def overtime_price(doc: Document) -> Fraction:
    """Hours worked in windows, each at the price of its window."""
    total = Fraction(0)
    for (id, _), spans in worked_in_windows(doc).items():
        ticks = sum(end - start for start, end in spans)
        total += ticks * Fraction(doc.windows[id]["price_per_hour"])
    return total * Fraction(doc.clock.tick_minutes, 60)


def check_overtime(doc: Document) -> Iterator[str]:
    """Yield windows that are none, rows that are not the work, and broken limits."""
    yield from _outside_regular_time(doc)
    yield from _rows(doc)
    yield from _limits(doc)


def _outside_regular_time(doc: Document) -> Iterator[str]:
    together: dict[str, list[tuple[Pair, str]]] = defaultdict(list)
    for id, row in doc.windows.items():
        calendar, span = doc.calendars[row["calendar"]], row["window"]
        together[f"calendar {calendar.id}"].append((span, id))
        for person in row["people"]:
            together[f"person {person}"].append((span, id))
            if Spans(doc.people[person]["available"]).first_overlap(*span):
                yield (
                    f"Overtime window {id} lies in regular time of person {person}, "
                    f"{doc.clock.span(*span)}."
                )
        meets = calendar.open.first_overlap(*span)
        if meets or calendar.breaks.first_overlap(*span):
            yield (
                f"Overtime window {id} lies in regular time of calendar "
                f"{calendar.id}, {doc.clock.span(*span)}."
            )
    for whose, rows in together.items():
        for (one, name), (other, id) in pairwise(sorted(rows)):
            if other[0] < one[1]:
                yield f"Overtime windows {name} and {id} of {whose} overlap."


def _rows(doc: Document) -> Iterator[str]:
    told: dict[tuple[str, str], list[Pair]] = defaultdict(list)
    for row in doc.overtime:
        id, person = row["id"], row["person"]
        if id not in doc.windows:
            yield f"The plan opens overtime window {id}, which is not in the problem."
            continue
        if person is None:
            if [row["from"], row["to"]] != [*doc.windows[id]["window"]]:
                yield f"Overtime window {id} is not listed from its start to its end."
            continue
        if person not in doc.windows[id]["people"]:
            yield f"Person {person} is in overtime window {id}, but may not be asked."
        if row["from"] >= row["to"]:
            yield f"Overtime of {person} in {id} does not end after it begins."
            continue
        told[id, person].append((row["from"], row["to"]))
    worked = worked_in_windows(doc)
    for id, person in sorted(told.keys() | worked.keys()):
        if sorted(told[id, person]) != worked.get((id, person), []):
            listed = sum(end - start for start, end in told[id, person])
            true = sum(end - start for start, end in worked.get((id, person), []))
            yield (
                f"Overtime of {person} in {id} is listed as {doc.clock.hours(listed)}, "
                f"but the work there is {doc.clock.hours(true)} or at another time."
            )


def _limits(doc: Document) -> Iterator[str]:
    days: dict[tuple[str, date], int] = defaultdict(int)
    weeks: dict[tuple[str, date], int] = defaultdict(int)
    for (_, person), spans in worked_in_windows(doc).items():
        if person not in doc.overtime_limits:
            yield f"Person {person} works overtime without a limit."
            continue
        for start, end in spans:
            for tick in range(start, end):
                day = doc.clock.day(tick)
                into = (day.isoweekday() - doc.facts["week_start"]) % 7
                days[person, day] += 1
                weeks[person, day - timedelta(days=into)] += 1
    for name, counts, unit in (
        ("hours_per_day", days, "on"),
        ("hours_per_week", weeks, "in the week of"),
    ):
        for (person, day), ticks in sorted(counts.items()):
            most = doc.overtime_limits[person][name]
            if Fraction(ticks * doc.clock.tick_minutes, 60) > Fraction(most):
                yield (
                    f"Person {person} works {doc.clock.hours(ticks)} of overtime "
                    f"{unit} {day}, more than {most:g} h."
                )
