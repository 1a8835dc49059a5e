"""What the commands share."""

from __future__ import annotations

import argparse
from pathlib import Path

import pytest

from models.errors import UsageError
from scheduler.commands.common import (
    local_date,
    open_plan,
    plural,
    positive,
    program,
    table,
    threads,
    whole,
    whole_or_zero,
)


def test_columns_are_aligned() -> None:
    """A column is as wide as its widest cell; figures are set to the right."""
    assert table(("name", "h"), [("a", 5), ("longer", 1200)], " r") == [
        "name       h",
        "------  ----",
        "a          5",
        "longer  1200",
    ]


def test_figures_are_read() -> None:
    """What is in range comes back as a figure."""
    assert positive("0.5") == 0.5
    assert whole("7") == 7
    assert whole_or_zero("0") == 0
    assert threads("4") == 4
    assert local_date("2027-02-28").day == 28


@pytest.mark.parametrize("text", ["0", "-1", "inf", "nan", "", "ten", "1e9"])
def test_not_above_zero(text: str) -> None:
    """Seconds are a number above zero."""
    with pytest.raises(argparse.ArgumentTypeError):
        positive(text)


@pytest.mark.parametrize("text", ["-1", "1.5", "", "²", "٣", "1_000", "9" * 12])
def test_not_whole(text: str) -> None:
    """Whole numbers are plain digits, not too many of them."""
    with pytest.raises(argparse.ArgumentTypeError):
        whole_or_zero(text)


def test_one_and_many() -> None:
    """One thing is not many."""
    assert [plural(count, "fault") for count in (0, 1, 2)] == [
        "0 faults",
        "1 fault",
        "2 faults",
    ]


def test_a_file_of_another_schema(tmp_path: Path) -> None:
    """A file that is no plan is told apart from a damaged one."""
    path = tmp_path / "plan.json"
    path.write_text('{"schema": "other/1"}', "utf-8")
    with pytest.raises(UsageError, match="not a plan file"):
        open_plan(path)
    path.write_text('{"schema": "hullpace-plan/1"}', "utf-8")
    with pytest.raises(UsageError, match="is damaged"):
        open_plan(path)


def test_the_program_is_named_as_it_can_be_called(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """On the path it is called by name; else by where it lies, or as a module."""
    monkeypatch.setattr("shutil.which", lambda name: f"somewhere/{name}")
    assert program() == "hullpace"
    monkeypatch.setattr("shutil.which", lambda name: None)
    monkeypatch.setattr("sys.executable", str(tmp_path / "python3"))
    assert program() == "python3 -m scheduler"
    (tmp_path / "hullpace").touch()
    monkeypatch.chdir(tmp_path.parent)
    assert program() == str(Path(tmp_path.name) / "hullpace")
