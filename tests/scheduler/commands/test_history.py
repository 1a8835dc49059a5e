"""`hullpace history`."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.scheduler.commands.conftest import Hullpace


def test_who_when_and_why(hullpace: Hullpace, loaded: Path, yard: Path) -> None:
    """Each load and publication has a line, on the yard's clock."""
    hullpace("publish", loaded, "--yard", yard, "--why", "first plan")
    ran = hullpace("history", "--yard", yard)
    assert ran.code == 0, ran.err
    first, second = ran.lines[2:4]
    assert "load 1: added 4 items" in first or "load 1: added " in first
    assert "plan 1 published upon load 1" in second
    assert second.endswith("first plan")
    assert ran.lines[-1].startswith("Times in ")
    told = json.loads(hullpace("history", "--yard", yard, "--json").out)
    assert [one["why"] for one in told] == ["", "first plan"]


def test_one_order(hullpace: Hullpace, loaded: Path, yard: Path) -> None:
    """An order shows its versions and its dates in published plans."""
    hullpace("publish", loaded, "--yard", yard)
    ran = hullpace("history", "B-1", "--yard", yard)
    assert ran.code == 0, ran.err
    assert "load 1: added, " in ran.lines[2]
    assert "plan 1: promised " in ran.lines[3]
    ran = hullpace("history", "B-77", "--yard", yard)
    assert ran.code == 2
    assert len(ran.err.splitlines()) == 1


@pytest.mark.parametrize("why", ["two\nlines", "\udcff", "\x1b[31m"])
def test_a_reason_is_one_line(hullpace: Hullpace, yard: Path, why: str) -> None:
    """A reason with control characters, or bytes that are no text, is refused."""
    ran = hullpace("load", "--yard", yard, "--why", why)
    assert ran.code == 2
    assert "one line of printable text" in ran.err
    assert not (yard / "yard.db").exists()
