"""Telling a store of long work while it goes on, and hearing whether to stop."""

from __future__ import annotations

import argparse
import threading
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from models.errors import StoreFault
from models.planning_jobs import DONE, FAILED, RUNNING, STOPPED
from scheduler.commands.memory import author

if TYPE_CHECKING:
    from pathlib import Path

    from models.store.transactions import Store

ASK_SECONDS = 1.0
ASKS_A_BEAT = 10  # after so many looks it says that it is alive
_NOT_KEPT = {"run", "command", "store", "by", "why", "json", "refuse"}


class Job:
    """A job of a store, kept up to date from a thread of its own.

    A store that does not answer for a moment holds no plan up: it is told at the next
    beat, and at the end once more.
    """

    def __init__(
        self, store: Store, number: int, stop: threading.Event, said: Callable[[], str]
    ) -> None:
        self._store, self.number, self._stop = store, number, stop
        self._said = said
        self._result: tuple[str, str] | None = None
        self._ended = threading.Event()
        self._thread = threading.Thread(target=self._live, daemon=True)
        self._thread.start()

    def keep_plan(self, document: Mapping[str, Any], path: Path) -> None:
        """Say which plan came of it, by the objects of its file, and where that is."""
        from models.store.plans import plan_digest

        self._result = plan_digest(document), str(path)

    def end(self, reason: str | None) -> None:
        """Say how it ended; `reason` is why it failed."""
        from models.store.jobs import tell

        self._ended.set()
        self._thread.join()
        now = datetime.now(UTC)
        state = STOPPED if self._stop.is_set() else DONE
        if reason is not None:
            state = FAILED
        plan, file = self._result or (None, "")
        tell(
            self._store, self.number, now, state=state, ended=now, plan=plan,
            file=file, reason=reason or "", progress=self._said(),
        )  # fmt: skip

    def _live(self) -> None:
        asks = 0
        while not self._ended.wait(ASK_SECONDS):
            asks += 1
            try:
                self._beat(tells=asks % ASKS_A_BEAT == 0)
            except StoreFault:
                continue

    def _beat(self, *, tells: bool) -> None:
        from models.store.jobs import is_asked_to_stop, tell

        if is_asked_to_stop(self._store, self.number):
            self._stop.set()
        said = self._said()
        if tells:
            state = {"state": RUNNING} if said else {}
            tell(self._store, self.number, datetime.now(UTC), progress=said, **state)


@contextmanager
def kept_job(
    args: argparse.Namespace,
    store: Store | None,
    stop: threading.Event,
    said: Callable[[], str],
) -> Iterator[Job | None]:
    """Keep long work in its store while it goes on; nothing is kept without a store.

    Parameters
    ----------
    stop : threading.Event
        Set when somebody asks the job to stop.
    said : callable
        Gives its progress in words; empty until the search has begun.
    """
    if store is None:
        yield None
        return
    from models.store.jobs import begin

    job = Job(store, begin(store, args.command, _told(args), author(args)), stop, said)
    try:
        yield job
    except KeyboardInterrupt:
        job.end("ended by a second Ctrl-C")
        raise
    except BaseException as error:
        job.end(str(error).partition("\n")[0] or type(error).__name__)
        raise
    job.end(None)


def _told(args: argparse.Namespace) -> dict[str, str]:
    """Arguments of a command as they are kept: what was asked of the search."""
    return {
        name: ", ".join(map(str, value)) if isinstance(value, list) else str(value)
        for name, value in sorted(vars(args).items())
        if name not in _NOT_KEPT and value not in (None, False, [])
    }
