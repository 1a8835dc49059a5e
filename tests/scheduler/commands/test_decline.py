"""`hullpace decline`."""

from __future__ import annotations

import json
from pathlib import Path

from tests.scheduler.commands.conftest import Hullpace
from tests.scheduler.commands.test_accept import ASK, FAR
from tests.scheduler.commands.test_record import working

__all__ = ["working"]


def test_the_next_customer_has_the_slot(hullpace: Hullpace, working: Path) -> None:
    """Given back, it is quoted again; the log says who, when and why."""
    url = ("--store", working / "yard.db")
    reserve = (*ASK, *url, "--reserve", "B-7", "--until", FAR)
    first = json.loads(hullpace(*reserve, "--json").out)
    taken = json.loads(hullpace(*ASK, *url, "--json").out)
    assert taken["proposed"] > first["proposed"]
    ran = hullpace("decline", "B-7", *url, "--by", "kim", "--why", "too dear")
    assert ran.code == 0, ran.err
    assert ran.lines[0].startswith(
        f"B-7 is declined: its slot for {first['proposed']} is free."
    )
    again = json.loads(hullpace(*ASK, *url, "--json").out)
    assert again["proposed"] == first["proposed"]
    ran = hullpace("history", "--yard", working)
    assert "B-7 declined; slot for" in ran.lines[-2]
    assert "kim" in ran.lines[-2]
    assert ran.lines[-2].endswith("too dear")


def test_nothing_to_give_back(hullpace: Hullpace, working: Path) -> None:
    """One clear line, and the exit code says whether the name was wrong."""
    url = ("--store", working / "yard.db")
    ran = hullpace("decline", "B-7", *url)
    assert (ran.code, ran.err.count("\n")) == (2, 1)
    assert "no reservation 'B-7'" in ran.err
    hullpace(*ASK, *url, "--reserve", "B-7", "--until", FAR)
    assert json.loads(hullpace("decline", "B-7", *url, "--json").out)["order"] == "B-7"
    ran = hullpace("decline", "B-7", *url)
    assert (ran.code, ran.err.count("\n")) == (1, 1)
    assert "the quote of B-7 was declined before" in ran.err
