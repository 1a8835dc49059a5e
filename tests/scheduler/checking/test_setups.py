"""Changes of color at a station are checked, facts apart."""

from __future__ import annotations

import copy

import pytest

from scheduler.checker import check
from tests.scheduler.mutations import VALID, Document, Mutations, change, found, move


def sprayed() -> Document:
    """The small plan with white gel coat on B101's hull and deck, red on B102's deck.

    B101's deck is sprayed to Tuesday 9 March 10:45, B102's deck from Thursday 11
    March 12:30: 49.75 h later.
    """
    document = copy.deepcopy(VALID)
    change(
        found(document, "stations", id="booth"),
        setups=[
            {"from": "white", "to": "red", "minutes": 30},
            {"from": "red", "to": "white", "minutes": 45},
        ],
    )
    for id, family in (
        ("B101/hull.gel_coat", "white"),
        ("B101/deck.gel_coat", "white"),
        ("B102/deck.gel_coat", "red"),
    ):
        change(found(document, "operations", id=id), setup_family=family)
    return document


def minutes(document: Document, number: int, value: int) -> None:
    """Let one of the set-ups take so many minutes."""
    document["problem"]["stations"][0]["setups"][number]["minutes"] = value


MUTATIONS: Mutations = {
    "set-up too short": (
        lambda d: minutes(d, 0, 50 * 60),
        (
            "Station booth needs 3000 minutes of set-up from white to red, but "
            "B102/deck.gel_coat begins Thu 2027-03-11 12:30",
            "B101/deck.gel_coat ends Tue 2027-03-09 10:45",
        ),
    ),
    "a minute more than the ticks between": (
        lambda d: minutes(d, 0, 49 * 60 + 46),
        ("Station booth needs 2986 minutes of set-up from white to red",),
    ),
    "the other way about": (
        lambda d: move(d, "B102/deck.gel_coat", -(2 * 24 * 60 + 5 * 60 + 15)),
        ("Station booth needs 45 minutes of set-up from red to white",),
    ),
    "last used for another color": (
        lambda d: (
            change(found(d, "stations", id="booth"), last_family="white")
            or minutes(d, 0, 90 * 60)
        ),
        (
            "Station booth was last used for white, so that B102/deck.gel_coat in red "
            "cannot begin Thu 2027-03-11 12:30",
        ),
    ),
}


@pytest.mark.parametrize("name", MUTATIONS)
def test_a_broken_rule_is_named(name: str) -> None:
    """A set-up broken once is caught, in one sentence that names what and when."""
    mutate, words = MUTATIONS[name]
    document = sprayed()
    mutate(document)
    sentences = check(document)
    assert any(all(word in one for word in words) for one in sentences), sentences


def test_set_ups_that_are_kept() -> None:
    """The plan as it is has time for every change, to the minute."""
    document = sprayed()
    assert check(document) == []
    minutes(document, 0, 49 * 60 + 45)
    assert check(document) == []


def test_between_what_is_given_no_set_up_is_asked() -> None:
    """Frozen and locked work stands, even where the booth cannot be set up between."""
    document = sprayed()
    change(found(document, "operations", id="B101/deck.gel_coat"), setup_family="red")
    minutes(document, 0, 24 * 60)
    assert check(document) == []
