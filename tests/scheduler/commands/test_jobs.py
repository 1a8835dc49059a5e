"""`hullpace jobs`, and what plans and trials from a store leave there."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from models.store.jobs import begin
from models.store.log import Author
from models.store.transactions import open_store
from scheduler import planner
from scheduler.commands import job as kept
from tests.scheduler.commands.conftest import Hullpace
from tests.scheduler.commands.test_record import working

__all__ = ["working"]

LONG_AGO = datetime(2020, 1, 1, tzinfo=UTC)


def test_plans_and_trials_are_listed(
    hullpace: Hullpace, working: Path, tmp_path: Path
) -> None:
    """Who asked for what, how it ended, and which plan came of it."""
    url = ("--store", working / "yard.db")
    assert "Nothing was planned from" in hullpace("jobs", *url).out
    out = tmp_path / "next"
    plan = hullpace("plan", "--work", "20", *url, "--by", "kim", "--out", out)
    assert plan.code == 0, plan.err
    add = ("--add", "hull-mold:skiff-16")
    trial = hullpace("trial", "--work", "10", *url, *add)
    assert trial.code == 0, trial.err
    first, second = json.loads(hullpace("jobs", *url, "--json").out)
    assert (first["job"], first["what"], first["state"]) == (1, "plan", "done")
    assert first["who"] == "kim"
    assert first["arguments"]["work"] == "20"
    assert (first["file"], first["published"]) == (str(out / "plan.json"), "")
    assert (second["job"], second["what"], second["state"]) == (2, "trial", "done")
    ran = hullpace("publish", out / "plan.json", *url, "--replaces", "1")
    assert ran.code == 0, ran.err
    first = json.loads(hullpace("jobs", *url, "--json").out)[0]
    assert first["published"] == "plan 2"
    shown = hullpace("jobs", *url).lines
    assert shown[0].split() == ["job", "what", "state", "who", "began", "ended"]
    assert shown[2].endswith("plan 2")


def test_a_plan_is_stopped_by_somebody_else(
    hullpace: Hullpace, working: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It ends with the best so far; stopping it once more is refused."""
    url = ("--store", str(working / "yard.db"))
    monkeypatch.setattr(kept, "ASK_SECONDS", 0.005)
    make_plan = planner.make_plan
    told = []

    def slow(*given: Any, should_stop: Callable[[], bool], **more: Any) -> object:
        told.append(hullpace("jobs", "stop", "1", *url, "--by", "ann"))
        while not should_stop():
            pass
        return make_plan(*given, should_stop=should_stop, **more)

    monkeypatch.setattr(planner, "make_plan", slow)
    out = tmp_path / "next"
    ran = hullpace("plan", "--seconds", "600", *url, "--by", "kim", "--out", out)
    assert ran.code == 0, ran.err
    assert told[0].out == (
        "Job 1 of kim is asked to stop, and keeps the best plan so far.\n"
    )
    (job,) = json.loads(hullpace("jobs", *url, "--json").out)
    assert (job["state"], job["stop_asked_by"]) == ("stopped", "ann")
    assert job["plan"] is not None
    assert hullpace("check", out / "plan.json", *url).code == 0
    again = hullpace("jobs", "stop", "1", *url)
    assert (again.code, again.err.count("\n")) == (1, 1)
    assert "job 1 is stopped: there is nothing to stop" in again.err
    assert "job 1 of kim: asked to stop" in hullpace("history", *url).out


def test_a_job_whose_process_was_killed(hullpace: Hullpace, working: Path) -> None:
    """It does not run for ever."""
    url = ("--store", str(working / "yard.db"))
    begin(open_store(url[1]), "plan", {}, Author("kim", LONG_AGO))
    assert "broken off" in hullpace("jobs", *url).lines[2]


def test_the_newest_are_shown(hullpace: Hullpace, working: Path) -> None:
    """Twenty, or all of them."""
    url = ("--store", str(working / "yard.db"))
    store = open_store(url[1])
    for _ in range(22):
        begin(store, "plan", {}, Author("kim", LONG_AGO))
    shown = hullpace("jobs", *url).lines
    assert shown[2].split()[0] == "3"
    assert "2 earlier ones: --all" in shown
    assert hullpace("jobs", *url, "--all").lines[2].split()[0] == "1"


def test_usage_is_told(hullpace: Hullpace, working: Path) -> None:
    """A number that is missing or unknown is one line."""
    url = ("--store", working / "yard.db")
    assert "stop needs the number of a job" in hullpace("jobs", "stop", *url).err
    assert hullpace("jobs", "stop", "7", *url).err.startswith("hullpace: no job 7 in")
