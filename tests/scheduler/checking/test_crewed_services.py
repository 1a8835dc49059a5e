"""Services of molds by people are checked: crew, skill, presence, no two jobs."""

from __future__ import annotations

import copy
import json
from typing import Any

import pytest

from scheduler.checker import check
from scheduler.plan_file import plan_from_json, plan_to_json
from tests.scheduler.mutations import Document, Mutations, change, found, later, move
from tests.scheduler.small_plan import crewed_plan


def crewed() -> Document:
    """A sound plan in which two people service a mold, and are free before it."""
    document: Document = json.loads(json.dumps(plan_to_json(crewed_plan())))
    return document


def stints(document: Document) -> list[Any]:
    """Who is on the service."""
    people: list[Any] = document["answer"]["services"][0]["people"]
    return people


def given_elsewhere(document: Document) -> None:
    """The service as a committed plan gives it, a quarter of an hour later."""
    given = copy.deepcopy(document["answer"]["services"][0])
    for row in (given, *given["people"]):
        row["from"], row["to"] = later(row["from"], 15), later(row["to"], 15)
    document["problem"]["services"].append(given)


def let_learn(document: Document, *names: str) -> None:
    """Let some people be apprentices in laminating; all others who can lead in it."""
    for row in document["problem"]["people"]:
        if row["id"] in names:
            row["skills"], row["apprentice_in"] = [], ["laminate"]
        elif "laminate" in row["skills"]:
            row["lead_for"] = ["laminate"]


MUTATIONS: Mutations = {
    "nobody on it": (
        lambda d: stints(d).clear(),
        ("the service of mold D23-1 is worked by 0 people, not the crew of 2",),
    ),
    "one too few": (
        lambda d: stints(d).pop(),
        ("the service of mold D23-1 is worked by 1 people, not the crew of 2",),
    ),
    "one too many": (
        lambda d: stints(d).append(stints(d)[0] | {"id": "LM-01"}),
        ("the service of mold D23-1 is worked by 3 people, not the crew of 2",),
    ),
    "one of them twice": (
        lambda d: change(stints(d)[0], id="LM-04"),
        ("the service of mold D23-1 counts a person twice",),
    ),
    "without the skill": (
        lambda d: change(stints(d)[0], id="RG-01"),
        ("Person RG-01 is on the service of mold D23-1 without the skill laminate",),
    ),
    "not known": (
        lambda d: change(stints(d)[0], id="XX-01"),
        ("the service of mold D23-1 has person XX-01, who is not in the problem",),
    ),
    "away": (
        lambda d: found(d, "people", id="LM-02")["available"].clear(),
        ("Person LM-02 is on the service of mold D23-1 but away",),
    ),
    "leaves in the midst": (
        lambda d: change(stints(d)[0], from_="2027-03-11T09:30-05:00"),
        ("Person LM-02 comes to or leaves the service of mold D23-1",),
    ),
    "on two jobs at once": (
        lambda d: move(d, "B102/deck.prep", -15),
        ("Person LM-04 is on", "deck.prep", "the service of mold D23-1 at the same"),
    ),
    "apprentices alone": (
        lambda d: let_learn(d, "LM-02", "LM-04"),
        ("the service of mold D23-1 is worked by LM-02 and LM-04, of whom 0",),
    ),
    "twice at once": (
        lambda d: d["answer"]["services"].append(d["answer"]["services"][0].copy()),
        ("Mold D23-1 is serviced", "twice at once"),
    ),
    "given otherwise": (
        given_elsewhere,
        ("Mold D23-1 must be serviced Thu 2027-03-11 10:00",),
    ),
    "a crew without a skill": (
        lambda d: change(found(d, "molds", id="D23-1"), service_skill=None),
        ("Mold D23-1 has only one of service_skill and service_crew",),
    ),
    "a crew without a service": (
        lambda d: change(
            found(d, "molds", id="H28-1"), service_skill="laminate", service_crew=1
        ),
        ("Mold H28-1 has people for a service that it does not need",),
    ),
    "left out": (
        lambda d: d["answer"]["services"].clear(),
        ("Mold D23-1 takes B102 deck Thu 2027-03-11 10:00 as pull 6", "at most 5"),
    ),
}


@pytest.mark.parametrize("name", MUTATIONS)
def test_a_broken_rule_is_named(name: str) -> None:
    """A service broken once is caught, in one sentence that names what and when."""
    mutate, words = MUTATIONS[name]
    document = crewed()
    mutate(document)
    sentences = check(document)
    assert any(all(word in one for word in words) for one in sentences), sentences


def test_a_service_by_people_is_sound() -> None:
    """Nothing is found in the plan itself, also where it stands as given."""
    document = crewed()
    assert check(document) == []
    document["problem"]["services"] = copy.deepcopy(document["answer"]["services"])
    assert check(document) == []


def test_the_file_holds_who_does_it() -> None:
    """Skill, crew and people come back from the file as they were written."""
    plan = crewed_plan()
    assert plan_from_json(plan_to_json(plan)) == plan
    assert [one.person for one in plan.answer.services[0].people] == ["LM-02", "LM-04"]
