"""The plan file behind the board."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from dashboard.source import PlanSource
from tests.dashboard.small_view import write_small_plan
from tests.scheduler.small_plan import small_document


def test_a_plan_is_read_once(tmp_path: Path) -> None:
    """The same file gives the same reading; a changed one is read anew."""
    source = PlanSource(write_small_plan(tmp_path / "plan.json"), tmp_path)
    first = source.reading()
    assert first.view is not None
    assert source.reading() is first
    changed = small_document() | {"created": "2027-03-08T07:00-05:00"}
    source.path.write_text(json.dumps(changed), encoding="utf-8")
    again = source.reading()
    assert again.stamp != first.stamp
    assert again.view is not None
    assert again.view.plan.created == "2027-03-08T07:00-05:00"


def test_a_missing_plan_names_the_command_that_makes_one(tmp_path: Path) -> None:
    """Without a file there is no view but advice, until there is a file."""
    source = PlanSource(tmp_path / "build" / "plan.json", tmp_path)
    trouble = source.reading().trouble
    assert trouble is not None
    assert trouble.title == "No plan yet"
    assert f"hullpace plan --out {tmp_path / 'build'}" in trouble.advice
    source.path.parent.mkdir()
    write_small_plan(source.path)
    assert source.reading().trouble is None


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{",
        "[]",
        "{}",
        '{"schema": "hullpace-plan/1"}',
        '{"schema": "hullpace-plan/2"}',
        json.dumps(small_document() | {"answer": {}}),
        json.dumps(small_document() | {"problem": None}),
    ],
)
def test_a_broken_plan_says_so(tmp_path: Path, text: str) -> None:
    """A file that is no whole plan is told about, and nothing is drawn."""
    path = tmp_path / "plan.json"
    path.write_text(text, encoding="utf-8")
    reading = PlanSource(path, tmp_path).reading()
    assert reading.view is None
    assert reading.trouble is not None
    assert str(path) in reading.trouble.reason


def test_a_yard_that_cannot_be_read_leaves_codes(tmp_path: Path) -> None:
    """Without the yard's files the plan is shown with codes, and says why."""
    source = PlanSource(write_small_plan(tmp_path / "plan.json"), tmp_path / "none")
    view = source.reading().view
    assert view is not None
    assert "codes are shown" in view.names.note
