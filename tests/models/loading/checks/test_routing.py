"""The routing as a network: cycles are found, holds end after they begin."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from models.loading.checks.routing import (
    find_cycle,
    reached,
    successive_instants,
    successors,
)
from tests.models.loading.conftest import TinyYard
from tests.models.tiny import skiff

BOAT = "boats/skiff-16.toml"
PAIRS = st.lists(st.tuples(st.integers(0, 6), st.integers(0, 6)), max_size=14)


def links_of(pairs: list[tuple[int, int]]) -> dict[str, set[str]]:
    """Turn pairs of numbers into links between steps."""
    links: dict[str, set[str]] = {str(number): set() for number in range(7)}
    for before, after in pairs:
        links[str(before)].add(str(after))
    return links


@given(PAIRS)
def test_cycles(pairs: list[tuple[int, int]]) -> None:
    """A cycle is found if some step comes after itself, and is a real one."""
    links = links_of(pairs)
    cycle = find_cycle(links)
    behind_itself = any(
        step in reached(links, after) for step in links for after in links[step]
    )
    assert bool(cycle) == behind_itself
    for before, after in zip(cycle, [*cycle[1:], *cycle[:1]], strict=True):
        assert after in links[before]
    assert len(set(cycle)) == len(cycle)


def test_layouts_are_links() -> None:
    """A layout's colors come between the steps that it hangs between."""
    links = successors(skiff())
    assert "hull.gel_coat" in links["hull.prep"]
    assert "final.detail" in reached(links, "hull.prep")
    assert reached(links, "final.detail") == {"final.detail"}


def test_cycle_through_a_layout(tiny: TinyYard) -> None:
    """A layout that hangs backwards makes a cycle."""
    tiny.replace(BOAT, 'after = "hull.prep"\nbefore', 'after = "hull.laminate"\nbefore')
    assert [one.found for one in tiny.faults()] == [
        "a cycle: hull.gel_coat -> hull.laminate -> hull.gel_coat"
    ]


def test_mold_left_before_it_is_taken(tiny: TinyYard) -> None:
    """A part leaves its mold at a step that comes after the one it enters with."""
    old = 'mold_from = "hull.prep", mold_to = "hull.demold"'
    tiny.replace(BOAT, old, 'mold_from = "hull.demold", mold_to = "hull.prep"')
    told = [(one.where, one.found) for one in tiny.faults()]
    assert ("parts.hull.mold_to", "'hull.prep'") in told


def test_instants_are_not_steps() -> None:
    """Two steps that only end one after the other may start in any order."""
    sound = successive_instants(skiff())
    assert "final.detail start" in reached(sound, "hull.prep start")
    assert "hull.prep start" not in reached(sound, "hull.prep end")
    ends = tuple(
        replace(wait, after_of="end") if wait.after == "final.rig" else wait
        for wait in skiff().waits
    )
    links = successive_instants(replace(skiff(), waits=ends))
    assert "final.rig end" in reached(links, "hull.demold start")
    assert "final.rig start" not in reached(links, "hull.demold start")


def test_unknown_steps_of_a_part(tiny: TinyYard) -> None:
    """A part's steps must be in the routing."""
    tiny.replace(BOAT, 'place_to = "final.detail"', 'place_to = "final.detial"')
    fault = tiny.fault()
    assert fault.where == "parts.hull.place_to"
    assert "final.detail" in fault.expected


def test_hold_on_different_options(tiny: TinyYard) -> None:
    """A part cannot leave a place at a step that only some boats have."""
    tiny.replace(
        BOAT, 'code = "final.detail"', 'code = "final.detail"\nwhen="hard-top"'
    )
    told = [(one.where, one.expected) for one in tiny.faults()]
    assert told == [
        ("parts.hull.place_to", "steps on the same options as 'hull.demold'")
    ]
