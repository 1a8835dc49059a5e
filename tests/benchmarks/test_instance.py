"""`python -m benchmarks.instance`: one line for an instance, clear lines for faults."""

from __future__ import annotations

from pathlib import Path

import pytest

from benchmarks.instance import main

ROOT = Path(__file__).resolve().parents[2]
DATA = ROOT / "tests/outside/data"
BROKEN = ROOT / "tests/scheduler/classical/broken"


def test_a_job_shop_is_solved(capsys: pytest.CaptureFixture[str]) -> None:
    """Value, bound and status stand in one line."""
    arguments = [str(DATA / "ft06.txt"), "--seconds", "60", "--schedules", "200"]
    assert main(arguments) == 0
    told = capsys.readouterr().out
    assert told.startswith("ft06.txt: makespan 55, at least 55, proven (")
    assert told.count("\n") == 1


def test_schedules_alone_search(capsys: pytest.CaptureFixture[str]) -> None:
    """With schedules and no seconds only the search works."""
    arguments = [str(DATA / "la16.txt"), "--schedules", "300", "--goal", "completion"]
    assert main(arguments) == 0
    told = capsys.readouterr().out
    assert told.startswith("la16.txt: completion ")
    assert ", bounded (search, " in told


def test_faults_are_lines(capsys: pytest.CaptureFixture[str]) -> None:
    """Bad input is told fault by fault on standard error, with exit code 2."""
    assert main([str(BROKEN / "machine-and-time.txt")]) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert len(printed.err.splitlines()) == 3


def test_rules_that_do_not_fit_are_told(capsys: pytest.CaptureFixture[str]) -> None:
    """A project has no machines to block; that is one line, with exit code 2."""
    assert main([str(DATA / "j30_1_1.rcp"), "--between", "blocking"]) == 2
    assert "are for jobs" in capsys.readouterr().err
