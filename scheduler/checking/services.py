"""Molds serviced after so many pulls, with nothing in them (R9)."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from scheduler.checking.clock import Spans
from scheduler.checking.document import Document
from scheduler.checking.shape import Row
from scheduler.checking.work import check_crew, ticks_of_hours


def check_services(doc: Document) -> Iterator[str]:
    """Yield services that are wrong, and pulls for which one was due before.

    A pull is an occupation of the mold by a part of a boat: a repair keeps it as long,
    but does not count. One that is given, because its first operation is done, begun,
    frozen or locked to a time, counts but stands where it is.
    """
    pulls: dict[str, list[tuple[int, int, str, bool]]] = defaultdict(list)
    repairs: dict[str, list[tuple[int, int, str, bool]]] = defaultdict(list)
    firsts = {(one["order"], one["part"]): one["mold_from"] for one in doc.parts}
    for row in doc.occupations:
        first = firsts.get((row["order"], row["part"]))
        given = doc.committed.get(first or "", {}).get("start") is not None
        by = f"{row['order']} {row['part']}"
        order = doc.orders.get(row["order"])  # one that is unknown is told elsewhere
        stays = repairs if order and order["kind"] == "other" else pulls
        stays[row["resource"]].append((row["from"], row["to"], by, given))
    serviced: dict[str, list[Row]] = defaultdict(list)
    yield from _moved(doc)
    for work, row in service_work(doc):
        yield from check_crew(doc, work, row)
    for row in doc.services:
        mold = doc.molds.get(row["mold"])
        if mold is None or mold["service_every"] is None:
            yield f"Mold {row['mold']} is serviced, but needs no service."
            continue
        serviced[row["mold"]].append(row)
        inside = [*pulls[row["mold"]], *repairs[row["mold"]]]
        yield from _service(doc, mold, row, inside)
    for name, mold in doc.molds.items():
        if mold["service_every"] is not None:
            yield from _due(doc, mold, serviced[name], sorted(pulls[name]))


def service_work(doc: Document) -> Iterator[tuple[Row, Row]]:
    """Each service by people, as an operation and where it is planned.

    It is worked at all open ticks of its calendar's regular time, by its whole crew.
    """
    for row in doc.services:
        mold = doc.molds.get(row["mold"])
        if mold is None or mold["service_skill"] is None:
            continue
        calendar = doc.calendars[mold["service_calendar"]]
        work = {
            "id": f"the service of mold {mold['id']}",
            "skill": mold["service_skill"],
            "one_go": False,
            "leads_min": 0,
        }
        segments = list(calendar.open.inside(row["from"], row["to"]))
        yield (
            work,
            {
                "start": row["from"],
                "finish": row["to"],
                "segments": segments,
                "crew": mold["service_crew"],
                "people": row["people"],
            },
        )


def _moved(doc: Document) -> Iterator[str]:
    """Yield services that are given and stand elsewhere, or with other people."""
    for row in doc.given_services:
        if row not in doc.services:
            span = doc.clock.span(row["from"], row["to"])
            yield f"Mold {row['mold']} must be serviced {span} by those who are given."


def _service(
    doc: Document, mold: Row, row: Row, stays: list[tuple[int, int, str, bool]]
) -> Iterator[str]:
    """Yield what is wrong with one service."""
    start, finish = row["from"], row["to"]
    where = f"Mold {mold['id']} is serviced {doc.clock.span(start, finish)}"
    if start < doc.facts["now"] and row not in doc.given_services:
        yield f"{where}, which is before now."
    worked = doc.calendars[mold["service_calendar"]].open.count(start, finish)
    needed = ticks_of_hours(mold["service_hours"], 1, doc.clock.tick_minutes)
    if worked < needed:
        hours = f"{mold['service_hours']:g} h"
        yield f"{where}, {doc.clock.hours(worked)} of open time, but needs {hours}."
    if mold["service_skill"] is None and row["people"]:
        yield f"{where} by people, but needs none."
    for other in doc.services:
        if other is not row and other["mold"] == mold["id"]:
            begin, end = other["from"], other["to"]
            if begin < finish and start < end:
                yield f"{where} and {doc.clock.span(begin, end)}, twice at once."
    for begin, end, by, _ in stays:
        if begin < finish and start < end:
            yield f"{where} with {by} in it."
    if Spans(mold["unavailable"]).first_overlap(start, finish) is not None:
        yield f"{where} while it cannot be used."


def _due(
    doc: Document,
    mold: Row,
    services: list[Row],
    pulls: list[tuple[int, int, str, bool]],
) -> Iterator[str]:
    """Yield pulls that come after more than the interval without a service."""
    starts = sorted(row["from"] for row in services)
    count = mold["pulls"]
    for begin, _, by, given in pulls:
        while starts and starts[0] < begin:
            count = 0
            starts.pop(0)
        count += 1
        if count > mold["service_every"] and not given:
            yield (
                f"Mold {mold['id']} takes {by} {doc.clock.when(begin)} as pull {count} "
                f"since its last service, at most {mold['service_every']} are allowed."
            )
