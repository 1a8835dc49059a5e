"""Crews with apprentices are checked: enough of them have the skill in full (R19)."""

from __future__ import annotations

import copy

import pytest

from scheduler.checker import check
from tests.scheduler.mutations import VALID, Document, Mutations, change, found

SKIN = "B102/hull.skin"  # LM-01 and LM-02, Tuesday 16 March from 6 to 9


def taught(*learning: str, leads_min: int = 0) -> Document:
    """The small plan, in which some people are apprentices in laminating."""
    document = copy.deepcopy(VALID)
    for row in document["problem"]["people"]:
        if row["id"] in learning:
            row["skills"].remove("laminate")
            row["apprentice_in"] = ["laminate"]
        if learning:
            row["lead_for"] = [one for one in row["skills"] if one == "laminate"]
    change(found(document, "operations", id=SKIN), leads_min=leads_min)
    return document


@pytest.mark.parametrize(
    "document",
    [
        pytest.param(taught("LM-01"), id="one of two"),
        pytest.param(taught(leads_min=2), id="nobody learns"),
        pytest.param(taught("RG-02", leads_min=2), id="who learns is elsewhere"),
    ],
)
def test_crews_that_are_led(document: Document) -> None:
    """An apprentice counts beside somebody who has the skill in full."""
    assert check(document) == []


MUTATIONS: Mutations = {
    "apprentices alone": (
        lambda d: d.update(taught("LM-01", "LM-02")),
        (
            f"{SKIN} is worked by LM-01 and LM-02, of whom 0 have the skill laminate "
            "in full, not the 1",
            "Tue 2027-03-16 06:00",
        ),
    ),
    "too few who lead": (
        lambda d: d.update(taught("LM-01", leads_min=2)),
        (f"{SKIN} is worked by LM-01 and LM-02, of whom 1 have", "not the 2"),
    ),
    "neither in full nor as an apprentice": (
        lambda d: change(found(d, "people", id="LM-02"), skills=[], lead_for=[]),
        ("Person LM-02", f"{SKIN} without the skill laminate"),
    ),
    "in full and as an apprentice": (
        lambda d: change(
            found(d, "people", id="LM-01"), skills=["laminate"], lead_for=["laminate"]
        ),
        ("Person LM-01 has the skill laminate in full and as an apprentice",),
    ),
    "who leads left out": (
        lambda d: change(found(d, "people", id="LM-03"), lead_for=[]),
        ("Person LM-03 leads in nothing",),
    ),
    "lead without the skill": (
        lambda d: change(found(d, "people", id="LM-01"), lead_for=["laminate"]),
        ("Person LM-01 leads in laminate",),
    ),
    "more leads than people": (
        lambda d: change(found(d, "operations", id=SKIN), leads_min=3),
        (f"Operation {SKIN} needs more leads than its smallest crew",),
    ),
}


@pytest.mark.parametrize("name", MUTATIONS)
def test_a_broken_rule_is_named(name: str) -> None:
    """A crew that is not led, or a standing that cannot be, is told in one sentence."""
    mutate, words = MUTATIONS[name]
    document = taught("LM-01")
    mutate(document)
    told = check(document)
    assert any(all(word in one for word in words) for one in told), told
