"""`hullpace actuals`: earned against actual hours, and standards that they suggest."""

from __future__ import annotations

import argparse
import json
import shlex
from typing import TYPE_CHECKING, Any

from models.errors import UsageError
from scheduler.commands.common import DEFAULT_YARD, plural, positive, program
from scheduler.commands.memory import (
    author,
    kept_store_options,
    store_address,
    why_option,
)

if TYPE_CHECKING:
    from models.actuals.estimates import Estimate
    from models.store.standards import Decided
    from models.store.transactions import Store

VERDICTS = {"accept": "accepted", "refuse": "refused", "end": "ended"}


def register(subparsers: Any) -> None:
    """Add the command to a parser."""
    parser = subparsers.add_parser(
        "actuals",
        help="hours earned against hours worked, standards that they suggest",
        description="Without more, list what recorded hours come to. accept MODEL STEP "
        "--factor F takes a suggested standard for later plans from the store, refuse "
        "puts it aside until more boats are finished, end goes back to the file's.",
    )  # fmt: skip
    parser.add_argument(
        "verdict", nargs="?", metavar="accept|refuse|end", choices=[*VERDICTS]
    )
    parser.add_argument("model", nargs="?", metavar="MODEL")
    parser.add_argument("operation", nargs="?", metavar="STEP")
    parser.add_argument(
        "--factor", type=positive, metavar="F", help="the factor that was suggested"
    )
    why_option(parser)
    kept_store_options(parser)
    parser.add_argument(
        "--all", action="store_true",
        help="also figures that cannot be told from the standard that holds",
    )  # fmt: skip
    parser.add_argument("--json", action="store_true", help="print an object")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Print what the recorded hours come to, or keep a decision about them."""
    from models.store.transactions import open_store

    if args.verdict is None:
        return _list(args, open_store(store_address(args)))
    if args.operation is None:
        raise UsageError(f"{program()} actuals {args.verdict} needs MODEL and STEP")
    if (args.factor is None) != (args.verdict == "end"):
        words = "takes no" if args.verdict == "end" else "needs the suggested"
        raise UsageError(f"{program()} actuals {args.verdict} {words} --factor")
    from models.store.standards import decide

    step = (args.model, args.operation)
    verdict = VERDICTS[args.verdict]
    made = decide(
        open_store(store_address(args)), verdict, step, author(args), args.factor
    )
    if args.json:
        print(json.dumps(_decided(made)))
    else:
        print(_told(made))
    return 0


def _list(args: argparse.Namespace, store: Store) -> int:
    from models.actuals.decisions import standards_of
    from models.actuals.earned import earned_against_actual
    from models.actuals.estimates import estimates
    from models.actuals.finished import finished_steps
    from models.store.actuals import worked
    from scheduler import actuals_report as report

    known = worked(store)
    earned = earned_against_actual(known.in_force, known.entries)
    found = estimates(finished_steps(known.past, known.entries))
    now = standards_of(known.past.book, known.decisions)
    suggested = now.suggested(found)
    left_out = known.past.left_out
    if args.json:
        print(json.dumps(report.as_object(earned, found, suggested, left_out, now)))
        return 0
    lines = ["EARNED AND WORKED HOURS BY STATION AND WEEK (earned / worked)"]
    lines += report.earned_lines(earned)
    lines += ["", "STANDARDS THAT RECORDED HOURS SUGGEST"]
    lines += report.suggestion_lines(found, suggested, now, every=args.all)
    if suggested:
        lines.append(f"Take one over: {_command(args, suggested[0])}")
    lines += report.flagged_lines(found)
    lines += report.decided_lines(now)
    lines += report.left_out_line(left_out)
    print("\n".join(lines))
    return 0


def _command(args: argparse.Namespace, one: Estimate) -> str:
    """What accepts a suggestion."""
    words = [program(), "actuals", "accept", one.model, one.operation]
    words += ["--factor", f"{one.factor:.2f}"]
    if args.yard != DEFAULT_YARD:
        words += ["--yard", shlex.quote(str(args.yard))]
    if args.store:
        from models.store.address import parse_address

        words += ["--store", shlex.quote(parse_address(args.store).shown)]
    return " ".join(words)


def _told(made: Decided) -> str:
    one = made.decision
    step = f"{one.model} {one.operation}"
    if not made.new:
        return f"{step} was {one.verdict} so already, as decision {made.number}."
    if one.verdict == "ended":
        after = "later plans from the store take the rates of the files"
    elif one.verdict == "refused":
        after = "it comes again once more boats are finished"
    else:
        after = "later plans from the store take it"
    boats = plural(one.boats, "boat")
    return (
        f"Decision {made.number}: {step} x {one.factor:.2f} from {boats} "
        f"{one.verdict}; {after}."
    )


def _decided(made: Decided) -> dict[str, Any]:
    one = made.decision
    return {
        "number": made.number,
        "new": made.new,
        "model": one.model,
        "operation": one.operation,
        "verdict": one.verdict,
        "factor": one.factor,
        "boats": one.boats,
    }
