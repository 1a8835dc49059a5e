"""The console script: the scheduler's commands, and the board when it is asked for."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any

from scheduler.commands.common import DEFAULT_PLAN
from scheduler.main import main as run_command


def register_board(subparsers: Any) -> None:
    """Add the board's command without importing a web library."""
    parser = subparsers.add_parser("board", help="show a plan in the browser")
    parser.add_argument("--plan", type=Path, default=DEFAULT_PLAN, metavar="FILE")
    parser.add_argument("--port", type=int, default=8050, metavar="N")
    parser.set_defaults(run=_board)


def _board(args: argparse.Namespace) -> int:
    from dashboard.board import run

    return int(run(args))


def main() -> None:
    """Run `hullpace`."""
    sys.exit(run_command(more=[register_board]))
