"""The command that serves the board."""

from __future__ import annotations

import socket
from argparse import Namespace
from pathlib import Path

import pytest

from dashboard import board
from models.errors import UsageError
from tests.dashboard.small_view import write_small_plan


def test_a_taken_port_is_one_clear_line(tmp_path: Path) -> None:
    """A port that something else has is told with what to do."""
    write_small_plan(tmp_path / "plan.json")
    with socket.socket() as other:
        other.bind((board.HOST, 0))
        other.listen()
        port = other.getsockname()[1]
        args = Namespace(plan=tmp_path / "plan.json", yard=tmp_path, port=port)
        with pytest.raises(UsageError, match=f"{port}.*--port"):
            board.run(args)


def test_a_port_that_does_not_exist_is_one_clear_line() -> None:
    """A number beyond all ports is told, not traced."""
    with pytest.raises(UsageError, match="--port"):
        board.listening(70_000)


def test_only_this_computer_can_reach_it() -> None:
    """The server listens on loopback and nowhere else."""
    assert board.HOST == "127.0.0.1"
