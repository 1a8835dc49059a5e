"""The throughput bound is the least limit, and names everything that sets it."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.throughput import Labor, Room, labor_groups, throughput_bound

ROOMS = st.lists(
    st.tuples(st.integers(0, 9), st.integers(0, 30)), min_size=1, max_size=6
).map(
    lambda pairs: [Room(f"R{n}", count, days) for n, (count, days) in enumerate(pairs)]
)


@given(ROOMS, st.integers(1, 365))
def test_no_resource_could_do_more_than_its_limit(rooms: list[Room], days: int) -> None:
    """At the bound no resource is overloaded, and those named are full."""
    found = throughput_bound(days, rooms)
    for room in rooms:
        if math.isinf(found.bound):
            assert room.days_per_boat == 0
            continue
        load, room_days = found.bound * room.days_per_boat, room.count * days
        assert load <= room_days + 1e-6
        if room.days_per_boat:
            full = math.isclose(load, room_days, rel_tol=1e-9, abs_tol=1e-12)
            assert (room.name in found.limited_by) == full


@given(ROOMS, st.integers(0, 5))
def test_relieving_a_resource_never_lowers_the_bound(
    rooms: list[Room], index: int
) -> None:
    """One unit more of anything leaves the bound or raises it."""
    at = index % len(rooms)
    more = [
        Room(room.name, room.count + (n == at), room.days_per_boat)
        for n, room in enumerate(rooms)
    ]
    assert throughput_bound(250, more).bound >= throughput_bound(250, rooms).bound


def test_labor_limits_beside_rooms() -> None:
    """Hours of people over hours a boat takes is a limit like any other."""
    labor = Labor("laminate", 1000, 100)
    found = throughput_bound(250, [Room("mold", 1, 10)], [labor])
    assert (found.bound, found.limited_by, found.is_tie) == (10, ("laminate",), False)
    found = throughput_bound(100, [Room("mold", 1, 10)], [labor])
    assert (found.limited_by, found.is_tie) == (("mold", "laminate"), True)


def test_a_group_of_skills_counts_everyone_who_has_one() -> None:
    """A person with two skills adds hours once to the group of both."""
    people = [(("gel_coat", "laminate"), 100.0), (("laminate",), 100.0)]
    subsets = [("gel_coat",), ("laminate",), ("laminate", "gel_coat")]
    groups = labor_groups(subsets, {"gel_coat": 10, "laminate": 40}, people)
    assert [(one.name, one.hours, one.hours_per_boat) for one in groups] == [
        ("gel_coat", 100, 10),
        ("laminate", 200, 40),
        ("gel_coat + laminate", 200, 50),
    ]
    found = throughput_bound(250, labor=groups)
    assert (found.bound, found.limited_by) == (4, ("gel_coat + laminate",))


def test_what_nobody_needs_limits_nothing() -> None:
    """Without any need there is no bound and nothing to blame."""
    found = throughput_bound(250, [Room("mold", 2, 0)])
    assert (found.bound, found.limited_by) == (math.inf, ())
    assert throughput_bound(250).limits == {}


def test_negative_figures_are_refused() -> None:
    """A resource below zero is an error, not a limit."""
    with pytest.raises(ValueError, match="below 0"):
        throughput_bound(250, [Room("mold", -1, 3)])
