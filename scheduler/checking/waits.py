"""Cures, bond windows and other waits; work that must be alone in a part (R7, R8)."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterator

from scheduler.checking.clock import Pair
from scheduler.checking.document import Document
from scheduler.checking.shape import Row


def check_waits(doc: Document) -> Iterator[str]:
    """Yield waits that are too short or too long, and minima below the data sheet."""
    for wait in doc.waits:
        sheet = wait["data_sheet_min_minutes"]
        if sheet is not None and wait["min_minutes"] < sheet:
            yield (
                f"The {wait['kind']} between {wait['before']} and {wait['after']} asks "
                f"for {wait['min_minutes']} minutes, below the data sheet's {sheet}."
            )
        known = wait["before"] in doc.planned and wait["after"] in doc.planned
        if known and doc.state(wait["after"]) != "done":
            yield from _wait(doc, wait)
            if wait["reprep"] is not None:
                yield from _reprep(doc, wait)
            if wait["activation_kj_per_mol"] is not None:
                yield from _cure(doc, wait)


def _cure(doc: Document, wait: Row) -> Iterator[str]:
    """Yield a cure that the shop is too cold to finish in the time it has."""
    begin = doc.end_of(wait["before"], wait["before_of"])
    end = doc.end_of(wait["after"], wait["after_of"])
    days = [row["date"] for row in doc.temperature]
    cured = 0  # millionths of minutes at the reference temperature
    for tick in range(begin, end):
        row = doc.temperature[max(0, bisect_right(days, doc.clock.day(tick)) - 1)]
        cured += _millionths(wait, row["celsius"]) * doc.clock.tick_minutes
    if cured < wait["data_sheet_min_minutes"] * 1_000_000:
        sheet = wait["data_sheet_min_minutes"] / 60
        yield (
            f"The {wait['kind']} between {wait['before']} and {wait['after']} "
            f"({doc.clock.span(begin, end)}) comes to {cured / 6e7:.2f} h at "
            f"{wait['reference_celsius']:g} °C, at least {sheet:g} h are needed."
        )


def _millionths(wait: Row, celsius: float) -> int:
    """Cure of a minute by Arrhenius (R 8.314462618), at most that of the reference."""
    here, there = celsius + 273.15, wait["reference_celsius"] + 273.15
    power = wait["activation_kj_per_mol"] * 1000 / 8.314462618 * (1 / there - 1 / here)
    return min(1_000_000, math.floor(math.exp(min(power, 1.0)) * 1e6 + 1e-3))


def _reprep(doc: Document, wait: Row) -> Iterator[str]:
    """Yield a re-preparation that is not between its steps, or not called for."""
    step = wait["reprep"]
    if step not in doc.planned:
        return  # that it is missing is told elsewhere
    begin = doc.end_of(wait["before"], wait["before_of"])
    end = doc.end_of(wait["after"], wait["after_of"])
    if doc.end_of(step, "start") < begin or doc.end_of(step, "finish") > end:
        yield f"{step} is not between {wait['before']} and {wait['after']}."
    begun = doc.state(step) in ("done", "started")
    if (
        not begun
        and _passed(doc, wait) <= wait["max_minutes"] // doc.clock.tick_minutes
    ):
        yield (
            f"{step} is planned, but the {wait['kind']} between {wait['before']} and "
            f"{wait['after']} keeps its maximum."
        )


def _passed(doc: Document, wait: Row) -> int:
    """Ticks that a wait lasts on its clock."""
    begin = doc.end_of(wait["before"], wait["before_of"])
    end = doc.end_of(wait["after"], wait["after_of"])
    if wait["clock"] == "work" and end > begin:
        return doc.calendars[wait["calendar"]].open.count(begin, end)
    return end - begin


def _wait(doc: Document, wait: Row) -> Iterator[str]:
    clock, tick = doc.clock, doc.clock.tick_minutes
    begin = doc.end_of(wait["before"], wait["before_of"])
    end = doc.end_of(wait["after"], wait["after_of"])
    passed = _passed(doc, wait)
    least = -(-wait["min_minutes"] // tick)
    most = passed
    if wait["max_minutes"] is not None and wait["reprep"] is None:
        most = wait["max_minutes"] // tick
    if least <= passed <= most:
        return
    text = (
        f"The {wait['kind']} between {wait['before']} and {wait['after']} lasts "
        f"{clock.hours(passed)} ({clock.span(begin, end)})"
    )
    if passed < least:
        yield f"{text}, at least {clock.hours(least)} are needed."
    if passed > most:
        yield f"{text}, at most {clock.hours(most)} are allowed."


def check_alone(doc: Document) -> Iterator[str]:
    """Yield work in a part beside work that must be alone in it.

    The span of an operation is from start to finish, nights included. Of two that are
    both begun already only what remains is compared: the past is a fact.
    """
    inside: dict[tuple[str, str], list[tuple[str, int, int]]] = defaultdict(list)
    alone: list[str] = []
    for id, row in doc.planned.items():
        operation = doc.operations[id]
        for part in operation["parts"]:
            inside[operation["order"], part].append((id, row["start"], row["finish"]))
        if operation["exclusive_part"]:
            alone.append(id)
    seen: set[frozenset[str]] = set()
    for id in alone:
        operation, row = doc.operations[id], doc.planned[id]
        for part in operation["parts"]:
            for other, start, finish in inside[operation["order"], part]:
                apart = finish <= row["start"] or row["finish"] <= start
                pair = frozenset((id, other))
                if apart or other == id or pair in seen:
                    continue
                both = _shared(doc, id, other)
                if both is not None:
                    seen.add(pair)
                    yield (
                        f"{id} must be alone in the {part} of {operation['order']}, "
                        f"but {other} is there too, {doc.clock.span(*both)}."
                    )


def _shared(doc: Document, one: str, other: str) -> Pair | None:
    """The ticks that two operations have in common, if any."""
    rows = doc.planned[one], doc.planned[other]
    starts = [row["start"] for row in rows]
    if all(doc.state(id) in ("done", "started") for id in (one, other)):
        starts = [doc.remaining_from(id) for id in (one, other)]
    begin, end = max(starts), min(row["finish"] for row in rows)
    return (begin, end) if begin < end else None
