"""Service of molds is checked: when it is due, how long it takes, what is inside."""

from __future__ import annotations

import json

import pytest

from scheduler.checker import check
from scheduler.plan_file import plan_to_json
from tests.scheduler.mutations import Document, Mutations, change, found
from tests.scheduler.small_plan import serviced_plan


def serviced() -> Document:
    """A sound plan in which a mold is serviced."""
    document: Document = json.loads(json.dumps(plan_to_json(serviced_plan())))
    return document


MUTATIONS: Mutations = {
    "service left out": (
        lambda d: d["answer"]["services"].clear(),
        ("Mold D23-1 takes B102 deck Thu 2027-03-11 10:00 as pull 6", "at most 5"),
    ),
    "service too short": (
        lambda d: change(found(d, "molds", id="D23-1"), service_hours=0.5),
        ("Mold D23-1 is serviced Thu 2027-03-11 09:45", "0.25 h of", "needs 0.5 h"),
    ),
    "service outside the open time of its calendar": (
        lambda d: change(
            d["answer"]["services"][0],
            from_="2027-03-11T06:45-05:00",
            to="2027-03-11T07:00-05:00",
        ),
        ("Mold D23-1 is serviced", "0 h of open time"),
    ),
    "service with a part in the mold": (
        lambda d: change(d["answer"]["services"][0], from_="2027-03-11T09:30-05:00"),
        ("Mold D23-1 is serviced Thu 2027-03-11 09:30", "with B101 deck in it"),
    ),
    "service during an outage": (
        lambda d: found(d, "molds", id="D23-1")["unavailable"].append(
            ["2027-03-11T09:45-05:00", "2027-03-11T10:00-05:00"]
        ),
        ("Mold D23-1 is serviced", "while it cannot be used"),
    ),
    "service before now": (
        lambda d: change(
            d["answer"]["services"][0],
            from_="2027-03-05T07:00-05:00",
            to="2027-03-05T07:15-05:00",
        ),
        ("Mold D23-1 is serviced Fri 2027-03-05 07:00", "which is before now"),
    ),
    "service that nobody asked for": (
        lambda d: change(d["answer"]["services"][0], mold="H28-1"),
        ("Mold H28-1 is serviced, but needs no service",),
    ),
    "people on a service": (
        lambda d: change(
            d["answer"]["services"][0],
            people=[
                {
                    "id": "LM-01",
                    "from": "2027-03-11T09:45-05:00",
                    "to": "2027-03-11T10:00-05:00",
                }
            ],
        ),
        ("Mold D23-1 is serviced Thu 2027-03-11 09:45", "by people, but needs none"),
    ),
    "interval without hours": (
        lambda d: change(found(d, "molds", id="D23-1"), service_hours=None),
        ("Mold D23-1 has not all of service_every, service_hours",),
    ),
    "interval of no pull": (
        lambda d: change(found(d, "molds", id="D23-1"), service_every=0),
        ("Mold D23-1 has not all of service_every, service_hours",),
    ),
    "calendar that is not there": (
        lambda d: change(found(d, "molds", id="D23-1"), service_calendar="night"),
        ("Mold D23-1 names calendar night",),
    ),
}


@pytest.mark.parametrize("name", MUTATIONS)
def test_a_broken_rule_is_named(name: str) -> None:
    """A service broken once is caught, in one sentence that names what and when."""
    mutate, words = MUTATIONS[name]
    document = serviced()
    mutate(document)
    sentences = check(document)
    assert any(all(word in one for word in words) for one in sentences), sentences


def test_the_plan_is_sound() -> None:
    """Before it is broken, nothing is wrong with it."""
    assert check(serviced()) == []


def test_a_repair_keeps_a_service_out_but_is_no_pull() -> None:
    """With the first of two decks a repair, nothing is one pull too many."""
    document = serviced()
    change(document["problem"]["orders"][0], kind="other")
    assert check(document) == []
    document["answer"]["services"].clear()
    assert check(document) == []
    service = {"mold": "D23-1", "people": []}
    service |= {"from": "2027-03-11T09:30-05:00", "to": "2027-03-11T10:00-05:00"}
    document["answer"]["services"].append(service)
    found_faults = check(document)
    assert any("with B101 deck in it" in one for one in found_faults), found_faults


def test_what_is_given_counts_but_is_not_refused() -> None:
    """A part that was in the mold before now may be one pull too many."""
    document = serviced()
    change(found(document, "molds", id="D23-1"), pulls=5)
    assert check(document) == []
