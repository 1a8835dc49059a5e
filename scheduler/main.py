"""The command line: one parser, one file a command."""

from __future__ import annotations

import argparse
import gc
import os
import sys
from collections.abc import Callable, Sequence
from typing import Any

from models.errors import DataFaults, HullpaceError
from scheduler.commands import (
    accept,
    actuals,
    backup,
    check,
    decline,
    diff,
    doctor,
    export,
    history,
    hours,
    jobs,
    load,
    order,
    plan,
    publish,
    quote,
    recall,
    record,
    restore,
    sample,
    sheets,
    trial,
    user,
)

COMMANDS = (
    *(load, hours, plan, check, publish, diff, recall),
    *(quote, accept, decline, trial, jobs, export),
    *(record, order, actuals, sheets, history, backup, restore, user, sample, doctor),
)
MOST_FAULTS = 200
COLLECT_EVERY = 2_000_000
"""Objects between two looks for cyclic rubbish. A plan makes millions that stay, and
Python's 700 made it look through all of them again and again. A command ends soon and
leaves little: 65 MB for 400 boats, whose first plan comes a fifteenth sooner."""


def build_parser(
    more: Sequence[Callable[[Any], None]] = (),
) -> argparse.ArgumentParser:
    """Build the parser; `more` registers further commands."""
    parser = argparse.ArgumentParser(
        prog="hullpace",
        description="Labor hours, plans and promise dates for a yard that builds "
        "composite powerboats to order.",
    )

    def show_help(_: argparse.Namespace) -> int:
        parser.print_help(sys.stderr)
        return 2

    parser.set_defaults(run=show_help)
    subparsers = parser.add_subparsers(dest="command", metavar="COMMAND")
    for command in COMMANDS:
        command.register(subparsers)
    for register in more:
        register(subparsers)
    return parser


def main(
    arguments: Sequence[str] | None = None,
    more: Sequence[Callable[[Any], None]] = (),
) -> int:
    """Run one command.

    Returns
    -------
    int
        0 done, 1 the answer is no, 2 bad input or usage.
    """
    args = build_parser(more).parse_args(arguments)
    gc.set_threshold(COLLECT_EVERY)
    try:
        code = int(args.run(args))
        sys.stdout.flush()
        return code
    except DataFaults as faults:
        for fault in faults.faults[:MOST_FAULTS]:
            print(fault, file=sys.stderr)
        count = len(faults.faults)
        more_text = f", {MOST_FAULTS} shown" if count > MOST_FAULTS else ""
        noun = "fault" if count == 1 else "faults"
        print(f"{count} {noun}{more_text}; {faults.outcome}.", file=sys.stderr)
        return 2
    except HullpaceError as error:
        print(f"hullpace: {error}", file=sys.stderr)
        return error.exit_code
    except KeyboardInterrupt:
        print("\nhullpace: stopped; nothing was written", file=sys.stderr)
        return 2
    except BrokenPipeError:
        # Whoever read the output has closed it; keep Python from trying again.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except OSError as error:
        where = f"{error.filename}: " if error.filename else ""
        print(f"hullpace: {where}{error.strerror or error}", file=sys.stderr)
        return 2
