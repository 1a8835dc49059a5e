"""`hullpace diff`."""

from __future__ import annotations

import json
from pathlib import Path

from tests.scheduler.commands.conftest import Hullpace


def test_two_files(hullpace: Hullpace, planned: Path) -> None:
    """Two plan files are compared without any store."""
    ran = hullpace("diff", planned, planned)
    assert ran.code == 0, ran.err
    assert ran.lines[0].startswith(f"From {planned} to {planned}; times in ")
    assert ran.lines[-1] == "The two plans are the same: every boat, step and person."


def test_published_plans_by_number_and_word(
    hullpace: Hullpace, loaded: Path, yard: Path, tmp_path: Path
) -> None:
    """A number is a published plan, `published` the newest; both say who and when."""
    hullpace("publish", loaded, "--yard", yard)
    out = tmp_path / "second"
    hullpace("plan", "--yard", yard, "--work", "3", "--seed", "7", "--out", out)
    second = out / "plan.json"
    hullpace("publish", second, "--yard", yard, "--replaces", "1")
    ran = hullpace("diff", "1", "published", "--yard", yard, "--json")
    assert ran.code == 0, ran.err
    told = json.loads(ran.out)
    assert told["before"].startswith("plan 1 (")
    assert told["after"].startswith("plan 2 (")
    files = json.loads(hullpace("diff", loaded, second, "--json").out)
    names = ("before", "after")
    assert {k: v for k, v in told.items() if k not in names} == {
        k: v for k, v in files.items() if k not in names
    }


def test_steps_on_request(hullpace: Hullpace, planned: Path, yard: Path) -> None:
    """`--operations` lists each step that changes, and only then."""
    path = yard / "orders.csv"
    path.write_text(path.read_text("utf-8").replace("04-16", "03-16"), "utf-8")
    out = planned.parents[1] / "urgent"
    ran = hullpace("plan", "--yard", yard, "--work", "20", "--seed", "3", "--out", out)
    assert ran.code == 0, ran.err
    second = out / "plan.json"
    short = hullpace("diff", planned, second)
    long = hullpace("diff", planned, second, "--operations")
    assert long.lines[: len(short.lines)] == short.lines
    told = json.loads(hullpace("diff", planned, second, "--json").out)
    extra = long.lines[len(short.lines) :]
    assert len(extra) == (len(told["operations"]) + 3 if told["operations"] else 0)


def test_plans_that_are_not_there(
    hullpace: Hullpace, loaded: Path, yard: Path, tmp_path: Path
) -> None:
    """A missing file, number or publication is one clear line."""
    for before, told in (
        (tmp_path / "none.json", "no plan at"),
        ("3", "no plan 3 was published"),
        ("published", "no plan was published"),
    ):
        ran = hullpace("diff", before, loaded, "--yard", yard)
        assert ran.code == 2
        assert told in ran.err
        assert len(ran.err.splitlines()) == 1
