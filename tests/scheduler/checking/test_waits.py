"""Waits, first possible starts and work that must be alone are checked."""

from __future__ import annotations

import pytest

from tests.scheduler.mutations import Mutations, assert_told, change, found, move

MUTATIONS: Mutations = {
    "before the material is there": (
        lambda d: change(
            found(d, "operations", id="B101/final.rig"),
            earliest="2027-03-18T08:15-04:00",
        ),
        ("B101/final.rig begins Thu 2027-03-18 08:00, before it can",),
    ),
    "remaining work before it can go on": (
        lambda d: change(
            found(d, "operations", id="B101/deck.prep"),
            earliest="2027-03-08T06:15-05:00",
        ),
        ("B101/deck.prep begins Mon 2027-03-08 06:00, before it can",),
    ),
    "cure cut short over the clock change": (
        lambda d: change(
            found(d, "waits", id="B101/hull.laminate>B101/hull.demold"),
            min_minutes=63 * 60,
        ),
        ("cure between B101/hull.laminate and B101/hull.demold lasts 62.5 h", "63 h"),
    ),
    "cure cut short by a move": (
        lambda d: move(d, "B101/hull.demold", -15),
        ("cure between B101/hull.laminate and B101/hull.demold lasts 62.25 h",),
    ),
    "minimum that is no whole number of ticks": (
        lambda d: change(
            found(d, "waits", id="B101/hull.laminate>B101/hull.demold"),
            min_minutes=3751,
        ),
        ("B101/hull.demold lasts 62.5 h", "at least 62.75 h"),
    ),
    "cure below its data sheet": (
        lambda d: change(
            found(d, "waits", id="B102/deck.skin>B102/deck.demold"), min_minutes=60
        ),
        ("B102/deck.skin and B102/deck.demold asks for 60 minutes", "data sheet"),
    ),
    "cure in a cold shop": (
        lambda d: change(d["problem"]["temperature"][0], celsius=18),
        (
            "cure between B101/hull.laminate and B101/hull.demold",
            "comes to 54.29 h at 20 °C, at least 61.5 h are needed",
        ),
    ),
    "a cold day inside a cure": (
        lambda d: d["problem"]["temperature"].insert(
            1, {"date": "2027-03-14", "celsius": 12}
        ),
        ("B101/hull.laminate and B101/hull.demold", "comes to ", "61.5 h are needed"),
    ),
    "a warm shop does not shorten a cure": (
        lambda d: (
            change(
                found(d, "waits", id="B101/hull.laminate>B101/hull.demold"),
                min_minutes=3750,
                data_sheet_min_minutes=3750,
            )
            or move(d, "B101/hull.demold", -15)
            or change(d["problem"]["temperature"][0], celsius=35)
        ),
        ("B101/hull.demold", "comes to 62.25 h at 20 °C, at least 62.5 h are needed"),
    ),
    "temperature not given": (
        lambda d: d["problem"]["temperature"].clear(),
        ("hull.demold depends on a temperature that is not given from the start",),
    ),
    "temperature from later on": (
        lambda d: change(d["problem"]["temperature"][0], date="2027-03-09"),
        ("hull.demold depends on a temperature that is not given from the start",),
    ),
    "activation energy alone": (
        lambda d: change(
            found(d, "waits", id="B101/hull.laminate>B101/hull.demold"),
            reference_celsius=None,
        ),
        ("has only one of activation energy and reference temperature",),
    ),
    "bond window passed": (
        lambda d: change(
            found(d, "waits", id="B101/hull.gel_coat>B101/hull.skin"),
            max_minutes=20 * 60 - 1,
        ),
        ("bond between B101/hull.gel_coat and B101/hull.skin lasts 20 h", "19.75 h"),
    ),
    "open time of a wait too short": (
        lambda d: change(
            found(d, "waits", id="B102/final.air_out>B102/final.inspect"),
            min_minutes=15,
        ),
        ("B102/final.air_out and B102/final.inspect lasts 0 h",),
    ),
    "out of sequence": (
        lambda d: move(d, "B102/final.inspect", -15),
        ("sequence between B102/final.air_out and B102/final.inspect lasts -0.25 h",),
    ),
    "beside work that must be alone": (
        lambda d: (
            change(found(d, "operations", id="B102/hull.prep"), exclusive_part=True)
            or move(d, "B102/hull.prep", 45)
        ),
        (
            "B102/hull.prep must be alone in the hull of B102",
            "B102/hull.gel_coat is there too, Mon 2027-03-15 09:15",
        ),
    ),
    "alone, nights included": (
        lambda d: (
            change(found(d, "operations", id="B102/final.air_out"), exclusive_part=True)
            or move(d, "B102/final.join", 74 * 60)
        ),
        (
            "B102/final.air_out must be alone in the hull",
            "B102/final.join is there too",
        ),
    ),
}


@pytest.mark.parametrize("name", MUTATIONS)
def test_a_broken_rule_is_named(name: str) -> None:
    """A wait broken once is caught, in one sentence that names what and when."""
    assert_told(MUTATIONS[name])
