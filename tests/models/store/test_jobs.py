"""Jobs in a store, on both kinds of database."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from models.errors import NotAllowed, Overtaken, UsageError
from models.planning_jobs import DONE, RUNNING, SILENCE, WAITING
from models.store.backup import backup, restore
from models.store.jobs import ask_to_stop, begin, is_asked_to_stop, jobs_of, tell
from models.store.log import Author, entries
from models.store.soundness import faults
from models.store.transactions import Store, read
from models.store.users import keep_user
from tests.models.store.conftest import ANN, BEN, NOON

LATER = NOON + timedelta(seconds=10)


def test_a_job_is_what_it_last_said(loaded: Store) -> None:
    """From its beginning to its plan, with who asked for what and when."""
    number = begin(loaded, "plan", {"seconds": "20"}, ANN)
    assert begin(loaded, "trial", {}, BEN) == number + 1 == 2
    assert jobs_of(loaded)[1].state == WAITING
    tell(loaded, 1, LATER, state=RUNNING, progress="searching")
    job = tell(loaded, 1, LATER, state=DONE, ended=LATER, plan="d" * 64, file="x")
    assert job == jobs_of(loaded)[1]
    assert job is not None
    assert (job.who, job.began, job.arguments) == ("ann", NOON, {"seconds": "20"})
    assert (job.state, job.ended, job.plan) == (DONE, LATER, "d" * 64)
    assert job.progress == "searching"
    assert jobs_of(loaded)[2].state == WAITING
    assert faults(loaded) == []


def test_anybody_sees_who_asked_to_stop(loaded: Store) -> None:
    """The log says so once; what the job says later does not undo it."""
    number = begin(loaded, "plan", {}, ANN)
    assert not is_asked_to_stop(loaded, number)
    why = Author("ben", LATER, "the yard needs the machine")
    assert ask_to_stop(loaded, number, why).stop_asked_by == "ben"
    assert ask_to_stop(loaded, number, ANN).stop_asked_by == "ben"
    tell(loaded, number, LATER, state=RUNNING)
    assert is_asked_to_stop(loaded, number)
    told = [one for one in read(loaded, entries) if one.action == "stop"]
    assert [(one.who, one.why) for one in told] == [("ben", why.why)]
    assert told[0].details == {"job": number, "kind": "plan", "of": "ann"}
    assert faults(loaded) == []


def test_what_cannot_be_stopped(loaded: Store) -> None:
    """One line for a job that is unknown, has ended or was broken off."""
    begin(loaded, "plan", {}, ANN)
    begin(loaded, "plan", {}, ANN)
    tell(loaded, 1, LATER, state=DONE, ended=LATER)
    with pytest.raises(UsageError, match="no job 3"):
        ask_to_stop(loaded, 3, ANN)
    with pytest.raises(Overtaken, match="job 1 is done: there is nothing to stop"):
        ask_to_stop(loaded, 1, ANN)
    late = Author("ann", NOON + SILENCE + timedelta(seconds=1))
    with pytest.raises(Overtaken, match="job 2 is broken off"):
        ask_to_stop(loaded, 2, late)


def test_who_may_stop_a_job(loaded: Store) -> None:
    """Everybody may plan, as that changes nothing; to stop others takes a planner."""
    keep_user(loaded, "ann", "owner", ANN, None)
    keep_user(loaded, "ben", "reader", ANN, None)
    number = begin(loaded, "plan", {}, BEN)
    with pytest.raises(NotAllowed, match="may not stop a job; that takes the role"):
        ask_to_stop(loaded, number, BEN)
    assert not is_asked_to_stop(loaded, number)
    ask_to_stop(loaded, number, ANN)
    assert is_asked_to_stop(loaded, number)


def test_a_restore_takes_a_job_away(loaded: Store, tmp_path: Path) -> None:
    """Its process is told nothing any more, and its number is not given again."""
    backup(loaded, tmp_path / "backup.db")
    assert begin(loaded, "plan", {}, ANN) == 1
    restore(loaded, tmp_path / "backup.db", BEN, tmp_path / "aside.db")
    assert tell(loaded, 1, LATER, state=RUNNING) is None
    assert not is_asked_to_stop(loaded, 1)
    assert begin(loaded, "plan", {}, ANN) == 2
    assert faults(loaded) == []
