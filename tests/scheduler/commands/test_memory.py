"""What the commands of the store share."""

from __future__ import annotations

import argparse
import getpass
from datetime import UTC, datetime
from pathlib import Path

import pytest

from scheduler.commands.memory import author, sentence, shown_time, store_address


def test_the_store_is_named_or_lies_beside_the_yard() -> None:
    """Without --store it is the file in the yard's folder."""
    beside = argparse.Namespace(yard=Path("yards/one"), store=None)
    assert Path(store_address(beside)) == Path("yards/one/yard.db")
    named = argparse.Namespace(yard=Path("yards/one"), store="postgresql://desk/yard")
    assert store_address(named) == "postgresql://desk/yard"


def test_times_are_shown_on_the_yards_clock() -> None:
    """An instant is shown to the minute where the yard is, in summer as in winter."""
    winter = datetime(2026, 11, 30, 12, 5, 59, tzinfo=UTC)
    summer = datetime(2027, 7, 1, 12, 5, tzinfo=UTC)
    assert shown_time(winter, "America/New_York") == "2026-11-30 07:05"
    assert shown_time(summer, "America/New_York") == "2027-07-01 08:05"


@pytest.mark.parametrize(
    ("name", "expected"), [("ann", "ann"), ("a\nb", "'a\\nb'"), (None, "user ")]
)
def test_whoever_runs_a_command_is_named(
    monkeypatch: pytest.MonkeyPatch, name: str | None, expected: str
) -> None:
    """The account's name on one line; one without a name has its number."""

    def user() -> str:
        if name is None:
            raise KeyError("uid not found")
        return name

    monkeypatch.setattr(getpass, "getuser", user)
    found = author(argparse.Namespace(why="late engine"))
    assert found.who.startswith(expected)
    assert found.why == "late engine"
    assert found.at.tzinfo is UTC


def test_a_reason_is_one_line() -> None:
    """A reason is any printable text, nothing that moves a cursor."""
    assert sentence("späte Maschine → 3 days") == "späte Maschine → 3 days"
    with pytest.raises(argparse.ArgumentTypeError, match="printable"):
        sentence("a\rb")
