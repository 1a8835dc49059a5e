"""Plans under a rule of the shop, broken just there: the checker tells it."""

from __future__ import annotations

from collections.abc import Callable
from random import Random
from typing import Any

import pytest

from scheduler.checker import check
from scheduler.compiling.compile import compile_problem
from tests.scheduler.random_facts import random_plan
from tests.scheduler.random_problems import random_problem
from tests.scheduler.shop_rules import RULES
from tests.scheduler.sound_plans import document_of

Document = dict[str, Any]


def sound(name: str, seed: int) -> Document | None:
    """A plan under a rule in which the checker finds nothing."""
    compilation = compile_problem(RULES[name](random_problem(seed), seed))
    plan = random_plan(compilation, Random(seed))
    document = None if plan is None else document_of(compilation, plan)
    if document is not None:
        assert check(document) == []
    return document


def operations(document: Document, **wanted: Any) -> list[tuple[Document, Document]]:
    """Operations of the problem with some values, each with its row of the answer."""
    rows = {row["id"]: row for row in document["answer"]["operations"]}
    return [
        (one, rows[one["id"]])
        for one in document["problem"]["operations"]
        if all(one[key] == value for key, value in wanted.items())
    ]


def back_too_early(document: Document) -> str | None:
    """Let something come back from a supplier a working day early."""
    for one, row in operations(document, skill=None):
        if one["calendar"].endswith("ends of days"):
            row["segments"].pop()
            row["finish"] = row["segments"][-1][1]
            return f"{one['id']} is worked for"
    return None


def sent_out_at_noon(document: Document) -> str | None:
    """Let something leave for a supplier in the midst of a day."""
    for one, row in operations(document, skill=None):
        if one["calendar"].endswith("ends of days"):
            first = row["segments"][0]
            noon = first[0][:11] + "12:00" + first[0][16:]
            row["segments"][0] = [noon, first[1]]
            row["start"] = noon
            return f"{one['id']} is worked while calendar"
    return None


def in_no_slot(document: Document) -> str | None:
    """Take the slot away in which something starts."""
    for one, row in operations(document, slots="launch"):
        calendar = row_of(document, "launch")
        calendar["open"] = [
            span for span in calendar["open"] if not span[0] <= row["start"] < span[1]
        ]
        return f"{one['id']} must start in a slot of launch"
    return None


def too_many_in_a_slot(document: Document) -> str | None:
    """Make one slot of all of them, with room for one start less than there are."""
    found = operations(document, slots="launch")
    if len(found) < 2:
        return None
    calendar = row_of(document, "launch")
    last = document["problem"]["end"]
    calendar["open"] = [[document["problem"]["start"], last]]
    calendar["starts_per_slot"] = len(found) - 1
    return f"is for {len(found) - 1}, but"


def at_home(document: Document) -> str | None:
    """Let somebody go home a tick before the end of a stint."""
    for row in document["answer"]["operations"]:
        for stint in row["people"]:
            rows = document["problem"]["people"]
            person = next(one for one in rows if one["id"] == stint["id"])
            span = next(
                (one for one in person["available"] if one[0] < stint["to"] <= one[1]),
                None,
            )
            if span is not None and span[0] < stint["from"]:
                span[1] = stint["from"]
                return f"Person {stint['id']} is on {row['id']} but away"
    return None


def row_of(document: Document, calendar: str) -> Document:
    """A calendar of the problem."""
    rows = document["problem"]["calendars"]
    return next(row for row in rows if row["id"] == calendar)


BREACHES: list[tuple[str, Callable[[Document], str | None]]] = [
    ("outside work", back_too_early),
    ("outside work", sent_out_at_noon),
    ("part time", at_home),
    ("slots", in_no_slot),
    ("slots", too_many_in_a_slot),
]


@pytest.mark.parametrize(("name", "breach"), BREACHES)
def test_a_breach_is_told(name: str, breach: Callable[[Document], str | None]) -> None:
    """One sentence names the operation and what is wrong with it."""
    tried = 0
    for seed in range(12):
        document = sound(name, seed)
        words = None if document is None else breach(document)
        if document is not None and words is not None:
            assert any(words in one for one in check(document)), (seed, words)
            tried += 1
    assert tried >= 5
