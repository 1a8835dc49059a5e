"""The console script: every command of the scheduler, and the board on demand."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from dashboard.front import register_board
from scheduler.main import build_parser
from tests.test_imports import WEB


def test_the_board_is_one_of_the_commands() -> None:
    """The board takes a plan, the yard's names and a port, each with a default."""
    args = build_parser([register_board]).parse_args(["board"])
    assert args.plan == Path("build/plan.json")
    assert args.yard == Path("demo_orders")
    assert args.port == 8050


@pytest.mark.parametrize("port", ["-1", "65536", "eight"])
def test_a_port_that_cannot_be(port: str, capsys: pytest.CaptureFixture[str]) -> None:
    """A port is a number from 0 to 65535."""
    with pytest.raises(SystemExit) as ended:
        build_parser([register_board]).parse_args(["board", f"--port={port}"])
    assert ended.value.code == 2
    assert "--port" in capsys.readouterr().err


def test_no_web_library_until_the_board_is_asked_for() -> None:
    """Other commands start without any web library, also by the console script."""
    code = (
        "import sys\n"
        f"for name in {sorted(WEB)!r}: sys.modules[name] = None\n"
        "sys.argv = ['hullpace', 'load', '--dry-run']\n"
        "from dashboard.front import main\n"
        "main()\n"
    )
    command = [sys.executable, "-c", code]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert "no fault" in done.stdout
