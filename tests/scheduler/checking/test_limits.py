"""Limits on work in process are checked, from now on and to the tick."""

from __future__ import annotations

import copy

import pytest

from scheduler.checker import check
from tests.scheduler.mutations import VALID, Document, Mutations, assert_told

# Boat B102's hull.prep starts on 15 March at 07:30, when B101's hull.demold ends.
LIMIT = {
    "id": "hulls",
    "from_operation_code": "hull.prep",
    "to_operation_code": "hull.demold",
    "max": 1,
}


def limited(document: Document, **changes: object) -> None:
    """Put a limit into the problem."""
    document["problem"]["limits"] = [LIMIT | changes]


MUTATIONS: Mutations = {
    "one boat too many": (
        lambda d: limited(d, to_operation_code="final.join"),
        (
            "Limit hulls allows 1 boats from hull.prep to final.join",
            "B101 and B102 are there, Mon 2027-03-15 07:30",
        ),
    ),
    "a boat that began before now counts": (
        lambda d: limited(
            d, from_operation_code="deck.prep", to_operation_code="final.inspect"
        ),
        ("Limit hulls allows 1", "B101 and B102 are there, Thu 2027-03-11 10:00"),
    ),
}


@pytest.mark.parametrize("name", MUTATIONS)
def test_a_broken_rule_is_named(name: str) -> None:
    """A limit broken once is caught, in one sentence that names what and when."""
    assert_told(MUTATIONS[name])


@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"to_operation_code": "final.join", "max": 2},
        {"from_operation_code": "final.air_out", "to_operation_code": "final.inspect"},
    ],
)
def test_a_limit_that_is_kept(changes: dict[str, object]) -> None:
    """One boat enters as the other leaves; boats without both steps do not count."""
    document = copy.deepcopy(VALID)
    limited(document, **changes)
    assert check(document) == []
