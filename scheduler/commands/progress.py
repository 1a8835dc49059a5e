"""The line of progress on a terminal, and Ctrl-C that keeps the best plan."""

from __future__ import annotations

import shutil
import signal
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from scheduler.searching.search import Progress

CLEAR = "\r\033[K"
BEAT_SECONDS = 0.5
PHASES = {
    "search": "searching",
    "quiet": "ending work in process sooner",
    "reinsert": "putting boats in again",
}


class ProgressLine:
    """One line on stderr, rewritten twice a second; nothing where that is no terminal.

    Before the search reports, the inner loops are loaded (or compiled, the first
    time); after its last report the constraint model and the names of people follow.
    """

    def __init__(self) -> None:
        self._shown = sys.stderr.isatty()
        self._began = time.monotonic()
        self._last: Progress | None = None
        self._ended = threading.Event()
        self._thread = threading.Thread(target=self._beat, daemon=True)

    def __enter__(self) -> ProgressLine:
        if self._shown:
            self._thread.start()
        return self

    def __exit__(self, *error: object) -> None:
        if self._shown:
            self._ended.set()
            self._thread.join()
            print(CLEAR, end="", file=sys.stderr, flush=True)

    def report(self, now: Progress) -> None:
        """Take what the search says; it is shown at the next beat."""
        self._last = now

    def text(self) -> str:
        """The line as it would be shown now."""
        seconds = f"{time.monotonic() - self._began:.0f} s"
        if self._last is None:
            return f"getting ready, {seconds} (the first run compiles the inner loops)"
        return f"{self.words()}, {seconds}; Ctrl-C keeps the best"

    def words(self) -> str:
        """What is done now and the best so far; nothing before the search reports."""
        last = self._last
        if last is None:
            return ""
        if last.share < 1.0:
            doing = f"{PHASES.get(last.phase, last.phase)} {last.share * 100:.0f} %"
        else:
            doing = "improving and proving"
        return f"{doing}: {last.tardiness} weighted late days (bound {last.bound})"

    def _beat(self) -> None:
        while not self._ended.wait(BEAT_SECONDS):
            width = shutil.get_terminal_size().columns - 1
            line = f"{CLEAR}{self.text()[:width]}"
            print(line, end="", file=sys.stderr, flush=True)


@contextmanager
def stop_on_interrupt() -> Iterator[threading.Event]:
    """Let the first Ctrl-C set an event, the second one end the program."""
    stop = threading.Event()
    if threading.current_thread() is not threading.main_thread():
        yield stop
        return

    def handle(number: int, frame: object) -> None:
        stop.set()
        signal.signal(signal.SIGINT, signal.default_int_handler)

    before = signal.signal(signal.SIGINT, handle)
    try:
        yield stop
    finally:
        signal.signal(signal.SIGINT, before)
