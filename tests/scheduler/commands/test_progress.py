"""The line of progress, and Ctrl-C."""

from __future__ import annotations

import os
import signal
import sys
import threading

import pytest

from scheduler.commands.progress import ProgressLine, stop_on_interrupt
from scheduler.searching.search import Progress


def test_what_the_line_says() -> None:
    """It says what is done now, and the late days and the bound once known."""
    line = ProgressLine()
    assert "getting ready" in line.text()
    line.report(Progress("search", 2.0, 0.25, 41, 7, 900))
    assert "searching 25 %" in line.text()
    assert "41 weighted late days (bound 7)" in line.text()
    line.report(Progress("quiet", 8.0, 1.0, 40, 7, 4000))
    assert line.text().startswith("improving and proving")


def test_nothing_is_shown_where_there_is_no_terminal(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """A file or a pipe gets no line of progress."""
    with ProgressLine() as line:
        line.report(Progress("search", 2.0, 0.25, 41, 7, 900))
    assert capsys.readouterr() == ("", "")


def test_the_line_is_taken_away_at_the_end(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """On a terminal, what is printed last clears the line."""
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True)
    with ProgressLine():
        pass
    assert capsys.readouterr().err.endswith("\r\033[K")


def test_the_first_interrupt_asks_the_second_ends() -> None:
    """One Ctrl-C sets the event; another one is an interrupt as usual."""
    before = signal.getsignal(signal.SIGINT)
    with stop_on_interrupt() as stop:
        assert not stop.is_set()
        os.kill(os.getpid(), signal.SIGINT)
        assert stop.is_set()
        with pytest.raises(KeyboardInterrupt):
            os.kill(os.getpid(), signal.SIGINT)
    assert signal.getsignal(signal.SIGINT) == before


def test_another_thread_leaves_signals_alone() -> None:
    """Only the main thread may handle signals; others just get an event."""
    seen = []

    def work() -> None:
        with stop_on_interrupt() as stop:
            seen.append(stop.is_set())

    before = signal.getsignal(signal.SIGINT)
    thread = threading.Thread(target=work)
    thread.start()
    thread.join()
    assert seen == [False]
    assert signal.getsignal(signal.SIGINT) == before
