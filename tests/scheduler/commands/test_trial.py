"""`hullpace trial`."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from scheduler.commands.trial import change_text
from tests.scheduler.commands.conftest import Hullpace


def test_both_arms_are_set_side_by_side(hullpace: Hullpace, yard: Path) -> None:
    """The table has each figure before and after, with its spread and a verdict."""
    asked = ("trial", "--yard", yard, "--work", "10", "--add", "hull-mold:skiff-16")
    ran = hullpace(*asked)
    assert ran.code == 0, ran.err
    for words in ("as it is", "with", "change", "spread", "throughput bound"):
        assert words in ran.out, words
    found = json.loads(hullpace(*asked, "--json").out)
    assert len(found["finishes"]["before"]) == 3
    for one in found["measures"]:
        assert {"name", "unit", "before", "after", "spread"} <= one.keys()


@pytest.mark.parametrize(
    "what", ["mast-mold:skiff-16", "hull-mold:barge", "person:juggle", "nonsense"]
)
def test_what_cannot_be_added(hullpace: Hullpace, yard: Path, what: str) -> None:
    """A mold of no part or model, or a skill that nobody asks for, is bad input."""
    ran = hullpace("trial", "--yard", yard, "--work", "10", "--add", what)
    assert ran.code == 2
    assert len(ran.err.splitlines()) == 1


def test_a_store_is_instead_of_files(hullpace: Hullpace, yard: Path) -> None:
    """Either one or the other is tried."""
    add = ("--add", "hull-mold:skiff-16")
    ran = hullpace("trial", "--yard", yard, "--store", yard / "yard.db", *add)
    assert ran.code == 2
    assert "leave out --yard" in ran.err


@pytest.mark.parametrize(
    ("before", "after", "told"),
    [(8.5, 8.5, "0.0"), (8.52, 8.5, "0.0"), (8.5, 8.2, "-0.3"), (8.0, 9.0, "+1.0")],
)
def test_a_change_has_a_sign_where_there_is_one(
    before: float, after: float, told: str
) -> None:
    """What comes to nothing after rounding is neither more nor less."""
    assert change_text(before, after) == told
