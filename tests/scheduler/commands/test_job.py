"""Long work that tells its store how far it is."""

from __future__ import annotations

import argparse
import threading
import time
from pathlib import Path

import pytest

from models.errors import NoPlan, StoreFault
from models.planning_jobs import DONE, FAILED, RUNNING, STOPPED, WAITING
from models.store.jobs import ask_to_stop, jobs_of
from models.store.log import Author
from models.store.transactions import Store, open_store
from scheduler.commands import job as kept
from scheduler.commands.job import kept_job

PATIENCE_SECONDS = 60.0


@pytest.fixture
def store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Store:
    """An empty store; jobs look at it all the time."""
    monkeypatch.setattr(kept, "ASK_SECONDS", 0.005)
    monkeypatch.setattr(kept, "ASKS_A_BEAT", 1)
    return open_store(str(tmp_path / "yard.db"), create=True)


ARGS = argparse.Namespace(
    command="plan",
    store="url",
    seconds=20.0,
    work=None,
    orders=[],
    json=False,
    by="kim",
)


def wait_for(store: Store, state: str, progress: str) -> None:
    """Wait until a job has said something."""
    end = time.monotonic() + PATIENCE_SECONDS
    while True:
        job = jobs_of(store)[1]
        if (job.state, job.progress) == (state, progress):
            return
        assert time.monotonic() < end, job
        time.sleep(0.005)


def test_it_waits_runs_and_is_done(store: Store) -> None:
    """It runs from the first progress on; what was asked for is kept."""
    said = ""
    with kept_job(ARGS, store, threading.Event(), lambda: said):
        wait_for(store, WAITING, "")
        said = "searching 5 %"
        wait_for(store, RUNNING, "searching 5 %")
    (job,) = jobs_of(store).values()
    assert (job.kind, job.who, job.state) == ("plan", "kim", DONE)
    assert job.arguments == {"seconds": "20.0"}
    assert job.ended is not None


def test_asked_to_stop_it_keeps_what_it_has(store: Store) -> None:
    """Whoever asks, the event is set as by Ctrl-C, and work ends as it does then."""
    stop = threading.Event()
    with kept_job(ARGS, store, stop, str):
        assert not stop.wait(0.05)
        began = jobs_of(store)[1].began
        ask_to_stop(store, 1, Author("ann", began))
        assert stop.wait(PATIENCE_SECONDS)
    assert jobs_of(store)[1].state == STOPPED


def test_why_it_failed_is_kept(store: Store) -> None:
    """An error is told in one line and goes on to whoever asked."""
    with pytest.raises(NoPlan), kept_job(ARGS, store, threading.Event(), str):
        raise NoPlan("no plan in a year\nmore")
    job = jobs_of(store)[1]
    assert (job.state, job.reason, job.plan) == (FAILED, "no plan in a year", None)


def test_a_store_that_does_not_answer_holds_nothing_up(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The plan goes on, and the store is told again."""
    failed = threading.Event()

    def fail(*args: object) -> None:
        failed.set()
        raise StoreFault("busy")

    with kept_job(ARGS, store, threading.Event(), lambda: "searching"):
        with monkeypatch.context() as patch:
            patch.setattr("models.store.jobs.is_asked_to_stop", fail)
            assert failed.wait(PATIENCE_SECONDS)
        wait_for(store, RUNNING, "searching")
    assert jobs_of(store)[1].state == DONE


def test_without_a_store_nothing_is_kept() -> None:
    """Plans from files are nobody else's."""
    with kept_job(ARGS, None, threading.Event(), str) as job:
        assert job is None
