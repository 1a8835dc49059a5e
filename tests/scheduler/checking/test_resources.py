"""Molds, places and stations are checked."""

from __future__ import annotations

import pytest

from tests.scheduler.mutations import (
    Mutations,
    assert_told,
    change,
    demand,
    found,
    move,
    occupation,
    planned,
    relocate,
)

MUTATIONS: Mutations = {
    "two parts in one mold": (
        lambda d: (
            move(d, "B102/deck.prep", -30)
            or change(occupation(d, "D23-1", "B102"), from_="2027-03-11T09:30-05:00")
        ),
        ("Mold D23-1 holds B101 deck and B102 deck", "Thu 2027-03-11 09:30"),
    ),
    "two boats in one bay": (
        lambda d: (
            move(d, "B101/final.inspect", 45)
            or change(occupation(d, "Bay 1", "B101"), to="2027-03-23T12:45-04:00")
        ),
        ("Place Bay 1 holds B101 hull and B102 hull", "Tue 2027-03-23 12:30"),
    ),
    "mold out of use": (
        lambda d: change(
            found(d, "molds", id="H23-1"),
            unavailable=[["2027-03-22T06:00-04:00", "2027-03-22T14:30-04:00"]],
        ),
        ("Mold H23-1 holds B102 hull while it cannot be used", "Mon 2027-03-22"),
    ),
    "place out of use": (
        lambda d: change(
            found(d, "places", id="Bay 1"),
            unavailable=[["2027-03-16T06:00-04:00", "2027-03-16T14:30-04:00"]],
        ),
        ("Place Bay 1 holds B101 hull while it cannot be used",),
    ),
    "mold of another model": (
        lambda d: relocate(d, "H23-1", "H28-1", "B102"),
        ("B102 hull of a tern-23 is in mold H28-1", "does not make it"),
    ),
    "mold of another part": (
        lambda d: relocate(d, "D23-1", "H23-1", "B102"),
        ("B102 deck of a tern-23 is in mold H23-1", "does not make it"),
    ),
    "place of another kind": (
        lambda d: relocate(d, "Stand 1", "Bay 1", "B102"),
        ("B102 deck needs a deck stand, but Bay 1 is a bay",),
    ),
    "place of another model": (
        lambda d: change(found(d, "places", id="Bay 1"), models=["tern-28"]),
        ("B102 hull of a tern-23 is in Bay 1, where that model cannot stand",),
    ),
    "place that does not exist": (
        lambda d: relocate(d, "Bay 1", "Bay 9", "B102"),
        ("B102 hull stands in unknown Bay 9",),
    ),
    "mold let go before the end of demold": (
        lambda d: change(occupation(d, "H23-1", "B102"), to="2027-03-23T13:45-04:00"),
        ("B102 hull is listed in H23-1", "occupies it", "Tue 2027-03-23 14:00"),
    ),
    "place left before it is taken": (
        lambda d: change(
            found(d, "parts", order="B102", part="hull"),
            place_to="B102/hull.gel_coat",
            place_to_of="start",
        ),
        ("B102 hull would leave its place before it is there", "Mon 2027-03-15 09:15"),
    ),
    "occupation left out": (
        lambda d: d["answer"]["occupations"].remove(occupation(d, "Bay 1", "B102")),
        ("B102 hull must have one place, but 0 are listed",),
    ),
    "occupation too many": (
        lambda d: d["answer"]["occupations"].append(
            occupation(d, "Bay 1", "B102") | {"part": "liner"}
        ),
        ("B102 liner is listed in a place, but has no need of one",),
    ),
    "operation that names another mold": (
        lambda d: change(planned(d, "B102/hull.demold"), mold="H28-1"),
        ("B102/hull.demold names mold H28-1, but its part is in H23-1",),
    ),
    "operation that names a mold without need": (
        lambda d: change(planned(d, "B102/final.rig"), mold="H23-1"),
        ("B102/final.rig names mold H23-1, but neither begins nor ends",),
    ),
    "station over its capacity": (
        lambda d: demand(d, "B101/final.join", "hoist"),
        ("hoist has a capacity of 1", "B101/final.join and B102/deck.demold"),
    ),
    "station over its capacity by one operation": (
        lambda d: demand(d, "B102/hull.gel_coat", "booth"),
        ("booth has a capacity of 1", "B102/hull.gel_coat", "Mon 2027-03-15 09:15"),
    ),
}


@pytest.mark.parametrize("name", MUTATIONS)
def test_a_broken_rule_is_named(name: str) -> None:
    """A resource misused once is caught, in one sentence that names what and when."""
    assert_told(MUTATIONS[name])
