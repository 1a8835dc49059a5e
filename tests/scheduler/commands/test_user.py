"""`hullpace user` and `--by`."""

from __future__ import annotations

import json
from pathlib import Path

from tests.scheduler.commands.conftest import Hullpace
from tests.scheduler.commands.test_record import working

__all__ = ["working"]


def test_a_yard_says_who_may_do_what(hullpace: Hullpace, working: Path) -> None:
    """Nobody, then an owner, then the floor; the log tells who did it."""
    store = ("--store", working / "yard.db")
    assert "has no users: everybody may do everything." in hullpace("user", *store).out
    first = hullpace("user", "set", "ann", "owner", *store)
    assert first.lines[0] == "ann has the role owner (version 1)."
    refused = hullpace("user", "set", "kim", "floor", *store)
    assert refused.code == 1
    assert "say who you are with --by NAME. Nothing was changed" in refused.err
    asked = ("user", "set", "kim", "floor", *store, "--by", "ann", "--json")
    told = json.loads(hullpace(*asked).out)
    assert told == {
        "name": "kim", "role": "floor", "active": True, "version": 1, "new": True,
    }  # fmt: skip
    ran = hullpace("load", "--yard", working, *store, "--by", "kim")
    assert (ran.code, ran.lines[-1]) == (0, "Nothing has changed.")
    entry = ("record", "hours", "B-1", "hull.laminate", "--at", "2027-03-01T07:10")
    hours = ("--hours", "0.5", *store)
    assert "is not a user of this store" in hullpace(*entry, *hours).err
    assert hullpace(*entry, *hours, "--by", "kim").code == 0
    ran = hullpace("user", "end", "kim", "--after", "1", "--by", "ann", *store)
    assert ran.lines[0] == "kim is not a user any more (version 2)."
    assert "user kim: ended" in hullpace("history", *store).out
    assert "kim   ended  2" in hullpace("user", *store).out


def test_usage_is_told(hullpace: Hullpace, working: Path) -> None:
    """What is missing or too much is one line."""
    store = ("--store", working / "yard.db")
    for words, told in (
        (("set", "ann"), "set needs NAME and ROLE"),
        (("end",), "end needs NAME and nothing more"),
        (("set", "ann", "captain"), "invalid choice: 'captain'"),
        (("set", " ", "owner"), "expected a name of 1 to 60 characters"),
    ):
        ran = hullpace("user", *words, *store)
        assert (ran.code, told in ran.err) == (2, True), ran.err
