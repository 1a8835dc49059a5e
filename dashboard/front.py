"""The console script: the scheduler's commands, and the board when it is asked for."""

from __future__ import annotations

import argparse
import gc
import sys
from pathlib import Path
from typing import Any

from scheduler.commands.common import DEFAULT_PLAN, DEFAULT_YARD, whole_or_zero
from scheduler.main import main as run_command

LAST_PORT = 65535
COLLECT_EVERY = 200_000
"""Objects between two looks for cyclic rubbish: a server goes on making it."""


def port(text: str) -> int:
    """A port to listen on, for argparse; 0 takes any free one."""
    value = whole_or_zero(text)
    if value > LAST_PORT:
        raise argparse.ArgumentTypeError(f"{text} is not a port: at most {LAST_PORT}")
    return value


def register_board(subparsers: Any) -> None:
    """Add the board's command without importing a web library."""
    parser = subparsers.add_parser("board", help="show a plan in the browser")
    parser.add_argument(
        "--plan", type=Path, default=DEFAULT_PLAN, metavar="FILE",
        help="default build/plan.json",
    )  # fmt: skip
    parser.add_argument(
        "--yard", type=Path, default=DEFAULT_YARD, metavar="DIR",
        help="where names of models, stations and skills come from",
    )  # fmt: skip
    parser.add_argument(
        "--port", type=port, default=8050, metavar="N", help="default 8050"
    )
    parser.set_defaults(run=_board)


def _board(args: argparse.Namespace) -> int:
    from dashboard.board import run

    gc.set_threshold(COLLECT_EVERY)
    return int(run(args))


def main() -> None:
    """Run `hullpace`."""
    sys.exit(run_command(more=[register_board]))
