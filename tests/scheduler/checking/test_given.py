"""Facts, frozen and locked work and missing operations are checked."""

from __future__ import annotations

import pytest

from tests.scheduler.mutations import (
    Mutations,
    assert_told,
    change,
    found,
    move,
    planned,
    resize,
)

MUTATIONS: Mutations = {
    "fact changed": (
        lambda d: change(planned(d, "B101/hull.prep"), start="2027-03-05T09:45-05:00"),
        ("B101/hull.prep is done with start Fri 2027-03-05 10:00", "09:45"),
    ),
    "start of started work changed": (
        lambda d: change(planned(d, "B101/deck.prep"), start="2027-03-05T13:15-05:00"),
        ("B101/deck.prep is started with start Fri 2027-03-05 13:00", "13:15"),
    ),
    "started in another mold": (
        lambda d: change(
            found(d, "committed", operation="B101/deck.prep"), mold="D23-2"
        ),
        ("B101/deck.prep is started in mold D23-2", "in D23-1"),
    ),
    "locked operation moved": (
        lambda d: move(d, "B101/deck.gel_coat", 15),
        ("B101/deck.gel_coat is locked with start Tue 2027-03-09 09:15", "09:30"),
    ),
    "locked person gone": (
        lambda d: change(
            found(d, "committed", operation="B101/deck.gel_coat"), people=["LM-04"]
        ),
        ("B101/deck.gel_coat is locked with LM-04, who is not on it",),
    ),
    "locked to another mold": (
        lambda d: change(
            found(d, "committed", operation="B101/deck.gel_coat"), mold="D23-2"
        ),
        ("B101/deck.gel_coat is locked in mold D23-2", "in D23-1"),
    ),
    "frozen operation moved": (
        lambda d: move(d, "B101/hull.gel_coat", 15),
        ("B101/hull.gel_coat is frozen with start Mon 2027-03-08 08:00", "08:15"),
    ),
    "frozen crew changed": (
        lambda d: resize(d, "B101/hull.gel_coat", 2, ["LM-01", "LM-04"]),
        ("B101/hull.gel_coat is frozen with LM-03, who is not on it",),
    ),
    "frozen crew enlarged": (
        lambda d: resize(d, "B101/hull.gel_coat", 3, ["LM-01", "LM-03", "LM-04"]),
        ("B101/hull.gel_coat is frozen with a crew of 2, not 3",),
    ),
    "frozen people at other times": (
        lambda d: change(
            found(d, "committed", operation="B101/hull.gel_coat")["stints"][0],
            to="2027-03-08T09:00-05:00",
        ),
        ("B101/hull.gel_coat is frozen, but the times of its people are changed",),
    ),
    "started work with another finish than committed": (
        lambda d: change(
            found(d, "committed", operation="B101/deck.prep"),
            finish="2027-03-08T08:15-05:00",
        ),
        ("B101/deck.prep is started with finish Mon 2027-03-08 08:15", "08:00"),
    ),
    "person pinned on started work gone": (
        lambda d: change(
            found(d, "committed", operation="B101/deck.prep"), people=["LM-04"]
        ),
        ("B101/deck.prep is started with LM-04, who is not on it",),
    ),
    "locked person on part of the work only": (
        lambda d: change(
            planned(d, "B101/deck.gel_coat")["people"][1], to="2027-03-09T10:00-05:00"
        ),
        ("B101/deck.gel_coat is locked with LM-03, who is not on all of it",),
    ),
    "published work moved inside the frozen window without a cause": (
        lambda d: d["answer"]["moves"].clear(),
        ("B101/deck.skin was published for Wed 2027-03-10 09:15", "no cause"),
    ),
    "move told from a wrong start": (
        lambda d: change(d["answer"]["moves"][0], from_="2027-03-10T09:30-05:00"),
        ("B101/deck.skin is listed as moved from a start that was not published",),
    ),
    "move told to a wrong start": (
        lambda d: change(d["answer"]["moves"][0], to="2027-03-10T06:15-05:00"),
        ("B101/deck.skin is listed as moved to a start that it does not have",),
    ),
    "operation dropped": (
        lambda d: d["answer"]["operations"].remove(planned(d, "B102/hull.laminate")),
        ("B102/hull.laminate is not in the plan",),
    ),
    "operation twice": (
        lambda d: d["answer"]["operations"].append(planned(d, "B102/hull.laminate")),
        ("B102/hull.laminate is in the plan 2 times",),
    ),
    "operation that nobody ordered": (
        lambda d: d["answer"]["operations"].append(
            planned(d, "B102/hull.laminate") | {"id": "B102/hull.extra"}
        ),
        ("B102/hull.extra is planned but not in the problem",),
    ),
}


@pytest.mark.parametrize("name", MUTATIONS)
def test_a_broken_rule_is_named(name: str) -> None:
    """A fact or pin changed once is caught, in one sentence that says how."""
    assert_told(MUTATIONS[name])
