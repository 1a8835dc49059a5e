"""The checker as a whole: a valid plan, malformed files, the command."""

from __future__ import annotations

import copy
import json
import random
import subprocess
import sys
from importlib import resources
from pathlib import Path
from typing import Any

import pytest

from scheduler import checker
from scheduler.checker import check, main
from scheduler.checking.work import ticks_of_hours
from scheduler.plan_file import plan_to_json
from tests.scheduler.many_boats import many_boats
from tests.scheduler.mutations import VALID, move, result
from tests.scheduler.small_plan import LEVELS


def test_the_valid_plan_keeps_every_rule() -> None:
    """A plan laid out by hand, its levels added up by hand, has no violation."""
    assert check(VALID) == []


def test_every_movable_operation_is_held_by_some_rule() -> None:
    """An operation moved by a week without its surroundings is always noticed."""
    for row in VALID["answer"]["operations"]:
        for minutes in (-7 * 24 * 60, 7 * 24 * 60):
            document = copy.deepcopy(VALID)
            move(document, row["id"], minutes)
            assert check(document), row["id"]


def test_many_boats_keep_every_rule() -> None:
    """A yard of several lines and rounds passes, its levels worked out by the planner.

    The planner's own sums (`scheduler.levels`) and the checker's share no code.
    """
    plan = many_boats(3, 2)
    assert check(plan_to_json(plan)) == []
    boats = len(plan.problem.orders) // 2
    assert plan.answer.levels[0].value == LEVELS["tardiness"] * boats


def test_rounding_of_hours() -> None:
    """24 h by three people are 32 ticks; a fault of 1e-10 h is worth no tick.

    Check value CV-13 (derived): 24 h / 3 people, 15-minute ticks, is 32 ticks; 25 h / 3
    people is 34.
    """
    assert ticks_of_hours(24, 3, 15) == 32
    assert ticks_of_hours(25, 3, 15) == 34
    assert ticks_of_hours(24.0 + 1e-10, 3, 15) == 32
    assert ticks_of_hours(24.0 + 1e-8, 3, 15) == 33
    assert ticks_of_hours(0.0, 3, 15) == 0


def test_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The command answers 0 for yes, 1 for no and 2 for what it cannot read."""
    good, bad = tmp_path / "good.json", tmp_path / "bad.json"
    good.write_text(json.dumps(VALID), encoding="utf-8")
    document = copy.deepcopy(VALID)
    result(document, "B101")["tardy_days"] = 0
    bad.write_text(json.dumps(document), encoding="utf-8")
    assert main([str(good)]) == 0
    assert "keeps every rule" in capsys.readouterr().out
    assert main([str(bad)]) == 1
    assert "0 working days late, but is 2" in capsys.readouterr().out
    assert main([str(tmp_path / "none.json")]) == 2
    assert main([]) == 2


def test_runs_without_the_project(tmp_path: Path) -> None:
    """The file alone, on a Python without any installed package, checks a plan."""
    plan = tmp_path / "plan.json"
    plan.write_text(json.dumps(VALID), encoding="utf-8")
    zones = resources.files("tzdata") / "zoneinfo"  # where the system has none
    command = [sys.executable, "-S", str(checker.__file__), str(plan)]
    done = subprocess.run(
        command,
        cwd=tmp_path,
        env={"PYTHONTZPATH": str(zones)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout == "The plan keeps every rule.\n"


def every_path(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """Every place in a tree of JSON objects."""
    inner = value.items() if isinstance(value, dict) else ()
    inner = enumerate(value) if isinstance(value, list) else inner
    return [
        path,
        *(one for key, child in inner for one in every_path(child, (*path, key))),
    ]


JUNK: tuple[Any, ...] = (
    *(None, True, False, 0, -1, 3, 10**30, 1.5, -0.0, 1e308),
    *(float("nan"), float("inf"), "", "x", "B101", "\ud800", "9999-12-31"),
    *("2027-03-08T06:00", "2027-03-08T06:01-05:00", "2027-03-08T06:00:30-05:00"),
    *("0001-01-01T00:00+00:00", "9999-12-31T23:45-12:00", "2150-01-01T00:00Z"),
    *([], {}, [[]], [None], [["a", "b"]], [["2027-03-08T06:00-05:00"] * 2], {"id": 1}),
    *([{"id": "LM-01"}], [[1, 2]], ["LM-01"], [{}], {"": ""}),
)


@pytest.mark.parametrize("seed", range(8))
def test_malformed_files_are_told_not_crashed_on(seed: int) -> None:
    """Junk anywhere in a plan file gives sentences, never an error."""
    chance = random.Random(seed)
    paths = [path for path in every_path(VALID) if path]
    for _ in range(60):
        document = copy.deepcopy(VALID)
        *way, last = chance.choice(paths)
        row: Any = document
        for key in way:
            row = row[key]
        junk = chance.choice(JUNK)
        if isinstance(row, dict) and chance.random() < 0.3:
            del row[last]
        else:
            row[last] = junk
        sentences = check(document)
        assert all(isinstance(one, str) and one for one in sentences)


def test_no_field_may_be_missing() -> None:
    """A field left out of either block, or of a row in it, is named as missing."""
    for path in every_path(VALID):
        *way, last = path or [None]
        in_block = len(path) == 2 or (len(path) == 4 and path[2] == 0)
        if not in_block or path[0] not in ("problem", "answer"):
            continue
        document = copy.deepcopy(VALID)
        row: Any = document
        for key in way:
            row = row[key]
        del row[last]
        assert any(f"{last} is missing" in one for one in check(document)), path


@pytest.mark.parametrize("document", [None, [], "x", 3, {}, {"schema": []}])
def test_what_is_no_plan_at_all(document: Any) -> None:
    """Something that is not a plan file is told as such."""
    assert len(check(document)) == 1
