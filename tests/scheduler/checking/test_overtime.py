"""Overtime as the checker sees it (R18)."""

from __future__ import annotations

import copy
from collections.abc import Callable
from typing import Any

import pytest

from scheduler.checker import check
from scheduler.plan_file import plan_from_json, plan_to_json
from tests.scheduler.mutations import change, level, planned, replace_person
from tests.scheduler.small_plan import overtime_plan

Document = dict[str, Any]
VALID = plan_to_json(overtime_plan())
SKIN = "B102/deck.skin"


def window(document: Document) -> Document:
    """The only window."""
    row: Document = document["problem"]["overtime"][0]
    return row


def limit(document: Document, person: str) -> Document:
    """The limits of one person."""
    rows = document["problem"]["overtime_limits"]
    return next(row for row in rows if row["person"] == person)


def rows(document: Document) -> list[Document]:
    """The overtime of the answer."""
    found: list[Document] = document["answer"]["overtime"]
    return found


def without_rows(document: Document) -> None:
    """Leave the window shut, at no price."""
    rows(document).clear()
    change(level(document, "overtime"), value=0.0)


def put(document: Document, person: str) -> None:
    """Put another person than LM-03 on the early skin, listed as it is."""
    replace_person(document, SKIN, "LM-03", person)
    change(rows(document)[1], person=person)


def twice(document: Document) -> None:
    """Offer another window inside the first."""
    other = copy.deepcopy(window(document))
    document["problem"]["overtime"].append(other | {"id": "early 2"})


def without_people(document: Document) -> None:
    """Let the early skin be work that needs nobody."""
    change(planned(document, SKIN), crew=0, people=[])
    for row in document["problem"]["operations"]:
        if row["id"] == SKIN:
            change(row, skill=None, duration_minutes=150)


MUTATIONS: dict[str, tuple[Callable[[Document], object], tuple[str, ...]]] = {
    "work in a window that is not opened": (
        without_rows,
        (SKIN, "calendar lamination is closed, Fri 2027-03-12 04:30"),
    ),
    "people are away where no window is open": (
        without_rows,
        ("Person LM-01 is on B102/deck.skin but away, Fri 2027-03-12 04:30",),
    ),
    "over the limit of a day": (
        lambda d: change(limit(d, "LM-03"), hours_per_day=1.25),
        ("Person LM-03 works 1.5 h of overtime on 2027-03-12, more than 1.25 h",),
    ),
    "over the limit of a week": (
        lambda d: change(limit(d, "LM-01"), hours_per_week=1),
        ("LM-01 works 1.5 h of overtime in the week of 2027-03-08, more than 1 h",),
    ),
    "without a limit": (
        lambda d: d["problem"]["overtime_limits"].pop(0),
        ("Person LM-01 works overtime without a limit",),
    ),
    "by somebody who may not be asked": (
        lambda d: put(d, "LM-02"),
        ("Person LM-02 is in overtime window early 1, but may not be asked",),
    ),
    "by somebody who is not there": (
        lambda d: put(d, "LM-02"),
        ("Person LM-02 is on B102/deck.skin but away",),
    ),
    "at a wrong price": (
        lambda d: change(level(d, "overtime"), value=100.0),
        ("Level overtime is said to be 100, but is 120",),
    ),
    "at another price an hour": (
        lambda d: change(window(d), price_per_hour=50),
        ("Level overtime is said to be 120, but is 150",),
    ),
    "a row too short": (
        lambda d: change(rows(d)[0], to=rows(d)[0]["to"].replace("06:00", "05:00", 1)),
        ("Overtime of LM-01 in early 1 is listed as 0.5 h", "the work there is 1.5 h"),
    ),
    "a row too many": (
        lambda d: rows(d).append(rows(d)[0] | {"person": "LM-04"}),
        ("Overtime of LM-04 in early 1 is listed as 1.5 h", "the work there is 0 h"),
    ),
    "a row missing": (
        lambda d: rows(d).pop(),
        ("Overtime of LM-03 in early 1 is listed as 0 h",),
    ),
    "a row that ends before it begins": (
        lambda d: change(rows(d)[0], to=rows(d)[0]["from"]),
        ("Overtime of LM-01 in early 1 does not end after it begins",),
    ),
    "an unknown window": (
        lambda d: change(rows(d)[0], id="late 1"),
        ("opens overtime window late 1, which is not in the problem",),
    ),
    "a window in regular time": (
        lambda d: change(
            window(d),
            window=[
                window(d)["window"][0],
                window(d)["window"][1].replace("06:00", "06:15", 1),
            ],
        ),
        ("Overtime window early 1 lies in regular time of calendar lamination",),
    ),
    "windows that overlap": (
        twice,
        ("early 1 and early 2 of calendar lamination overlap",),
    ),
    "windows of one person that overlap": (
        twice,
        ("early 1 and early 2 of person LM-03 overlap",),
    ),
    "a window in regular time of a person": (
        lambda d: (
            window(d)["people"].append("EV-01")
            or d["problem"]["people"].append(
                d["problem"]["people"][0]
                | {"id": "EV-01", "available": [window(d)["window"]]}
            )
        ),
        ("Overtime window early 1 lies in regular time of person EV-01",),
    ),
    "of an unknown calendar": (
        lambda d: change(window(d), calendar="night"),
        ("Overtime window early 1 names calendar night",),
    ),
    "of an unknown person": (
        lambda d: window(d)["people"].append("LM-99"),
        ("Overtime window early 1 names person LM-99",),
    ),
    "work without people": (
        without_people,
        (SKIN, "calendar lamination is closed, Fri 2027-03-12 04:30"),
    ),
}


def test_the_plan_is_sound() -> None:
    """Work in an opened window, by its people, within the limits, breaks no rule."""
    assert check(copy.deepcopy(VALID)) == []


@pytest.mark.parametrize("name", MUTATIONS)
def test_a_broken_rule_is_named(name: str) -> None:
    """Each way to break the rules of overtime is told in one sentence."""
    document = copy.deepcopy(VALID)
    mutate, words = MUTATIONS[name]
    mutate(document)
    sentences = check(document)
    told = [one for one in sentences if all(word in one for word in words)]
    assert told, "\n".join(sentences) or "no violation at all"


def test_a_plan_file_keeps_overtime() -> None:
    """Windows, limits and who works in them come back as they were written."""
    plan = overtime_plan()
    assert plan_from_json(plan_to_json(plan)) == plan
