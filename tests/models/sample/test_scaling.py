"""A yard with more or fewer people, molds, places and stations."""

from __future__ import annotations

from collections import Counter
from typing import Any

import pytest

from models.sample.scaling import scale_yard

YARD: dict[str, Any] = {
    "name": "small",
    "people": [
        {
            "id": "LM-01",
            "skills": ["laminate"],
            "leave": [["2027-01-04", "2027-01-08"]],
        },
        {"id": "LM-02", "skills": ["laminate"]},
        {"id": "LM-03", "skills": ["laminate", "gel_coat"]},
        {"id": "RG-01", "skills": ["rig"]},
    ],
    "molds": [
        {
            "id": "H23-1",
            "part": "hull",
            "models": ["skiff"],
            "outages": [["2027-02-15T06:00", "2027-02-19T14:30"]],
        },
        {"id": "D23-1", "part": "deck", "models": ["skiff"]},
    ],
    "places": [
        {"id": "Bay 1", "kind": "bay", "models": ["skiff"]},
        {"id": "Bay 2", "kind": "bay", "models": []},
        {"id": "Rack", "kind": "rack", "models": [], "capacity": 6},
    ],
    "stations": [{"id": "booth", "capacity": 2}, {"id": "floor"}],
}


def ids(rows: list[dict[str, Any]]) -> list[str]:
    """Ids in order."""
    return [row["id"] for row in rows]


def test_a_scale_of_one_changes_nothing() -> None:
    """The same yard comes out, and the one given is left alone."""
    before = repr(YARD)
    assert scale_yard(YARD, 1.0, {}) == YARD
    assert repr(YARD) == before


def test_kinds_keep_their_shares() -> None:
    """Three times the yard has three times of each kind, numbered anew."""
    scaled = scale_yard(YARD, 3.0, {})
    kinds = Counter(tuple(person["skills"]) for person in scaled["people"])
    assert kinds == {("laminate",): 6, ("laminate", "gel_coat"): 3, ("rig",): 3}
    assert ids(scaled["molds"]) == [
        f"{kind}-{n}" for kind in ("H23", "D23") for n in (1, 2, 3)
    ]
    assert ids(scaled["places"]) == [*(f"Bay {n}" for n in range(1, 7)), "Rack"]
    assert scaled["places"][-1]["capacity"] == 18
    assert scaled["stations"] == [{"id": "booth", "capacity": 6}, {"id": "floor"}]
    assert len(set(ids(scaled["people"]))) == 12


def test_nothing_falls_below_one() -> None:
    """A tenth of the yard still has a mold of each part and a place of each kind."""
    scaled = scale_yard(YARD, 0.1, {"laminate": 1, "gel_coat": 1, "rig": 1})
    assert ids(scaled["molds"]) == ["H23-1", "D23-1"]
    assert ids(scaled["places"]) == ["Bay 1", "Bay 2", "Rack"]
    assert scaled["places"][-1]["capacity"] == 1
    assert scaled["stations"][0]["capacity"] == 1


@pytest.mark.parametrize("scale", [0.01, 0.3, 1.0, 2.5])
def test_each_crew_can_be_formed(scale: float) -> None:
    """However small the yard, each skill has the people its largest crew needs."""
    crews = {"laminate": 4, "gel_coat": 2, "rig": 2}
    people = scale_yard(YARD, scale, crews)["people"]
    for skill, least in crews.items():
        assert sum(skill in person["skills"] for person in people) >= least
    assert len(set(ids(people))) == len(people)


def test_copies_are_not_all_away_at_once() -> None:
    """The second round of a mold or person is away two weeks later."""
    scaled = scale_yard(YARD, 2.0, {})
    assert [mold["outages"][0][0] for mold in scaled["molds"][:2]] == [
        "2027-02-15T06:00",
        "2027-03-01T06:00",
    ]
    leaves = [person["leave"][0][0] for person in scaled["people"] if "leave" in person]
    assert leaves == ["2027-01-04", "2027-01-18"]
