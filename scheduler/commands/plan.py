"""`hullpace plan`: plan the book, print what it means, write the plan file."""

from __future__ import annotations

import argparse
import json
import signal
import sys
import threading
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from models.errors import UsageError
from scheduler.commands.common import budget_options, read_book, yard_options

if TYPE_CHECKING:
    from scheduler.search import Progress


def register(subparsers: Any) -> None:
    """Add the command to a parser."""
    parser = subparsers.add_parser("plan", help="plan the book and write a plan file")
    yard_options(parser)
    budget_options(parser, 20.0)
    parser.add_argument(
        "--committed", type=Path, metavar="PLAN",
        help="keep this plan; only what is not in it is planned",
    )  # fmt: skip
    parser.add_argument(
        "--rearrange", action="store_true",
        help="with --committed: keep only what starts inside the frozen window",
    )  # fmt: skip
    parser.add_argument(
        "--out", type=Path, default=Path("build"), metavar="DIR",
        help="folder of plan.json (default build)",
    )  # fmt: skip
    parser.add_argument(
        "--json", action="store_true", help="print the orders as objects"
    )
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Plan; Ctrl-C keeps the best plan found so far."""
    from scheduler.plan_file import read_plan, write_plan
    from scheduler.planner import Request, make_plan
    from scheduler.report import changes_lines, report_lines
    from scheduler.search import Budget

    if args.rearrange and args.committed is None:
        raise UsageError("--rearrange needs --committed PLAN")
    committed = read_plan(args.committed) if args.committed else None
    book = read_book(args)
    request = Request(
        budget=Budget(None if args.work else args.seconds, args.work),
        seed=args.seed,
        workers=args.workers,
        committed=committed,
        rearrange=args.rearrange,
    )
    stop = _stop_on_interrupt()
    outcome = make_plan(book, request, report=_progress(), should_stop=stop.is_set)
    _clear()
    path = args.out / "plan.json"
    write_plan(outcome.plan, path)
    if args.json:
        print(json.dumps(_as_object(outcome.plan, path)))
        return 0
    if committed is not None:
        print("\n".join(changes_lines(committed, outcome.plan)))
        print()
    print("\n".join(report_lines(outcome.plan, book, outcome.found.due_date_value)))
    print(f"\nPlan file: {path}")
    print("Next: make board, hullpace check, hullpace quote --model MODEL,")
    print("      hullpace trial --add deck-mold:MODEL")
    return 0


def _stop_on_interrupt() -> threading.Event:
    """Let the first Ctrl-C end the search, the second one the program."""
    stop = threading.Event()
    if threading.current_thread() is not threading.main_thread():
        return stop

    def handle(number: int, frame: object) -> None:
        stop.set()
        signal.signal(signal.SIGINT, signal.default_int_handler)

    signal.signal(signal.SIGINT, handle)
    return stop


def _progress() -> Callable[[Progress], None]:
    def show(now: Progress) -> None:
        if sys.stderr.isatty():
            print(
                f"\r\033[K{now.phase}: {now.seconds:.0f} s, {now.share * 100:.0f} %, "
                f"{now.tardiness} weighted late days (at least {now.bound}), "
                f"{now.decodes} plans tried; Ctrl-C keeps the best",
                end="", file=sys.stderr, flush=True,
            )  # fmt: skip

    return show


def _clear() -> None:
    if sys.stderr.isatty():
        print("\r\033[K", end="", file=sys.stderr, flush=True)


def _as_object(plan: Any, path: Path) -> dict[str, Any]:
    axis = plan.problem.axis
    promised = {one.order: one.promised for one in plan.problem.orders}
    return {
        "plan": str(path),
        "method": plan.method,
        "orders": [
            {
                "order": one.order,
                "promised": promised[one.order],
                "proposed": one.proposed,
                "finish": axis.iso(one.finish),
                "late_days": one.tardy_days,
            }
            for one in plan.answer.orders
        ],
        "levels": [
            {
                "name": one.name,
                "value": one.value,
                "bound": one.bound,
                "status": one.status,
            }
            for one in plan.answer.levels
        ],
    }
