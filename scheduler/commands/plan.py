"""`hullpace plan`: plan the book, print what it means, write the plan file."""

from __future__ import annotations

import argparse
import json
import shlex
from pathlib import Path
from typing import TYPE_CHECKING, Any

from scheduler.commands.common import (
    DEFAULT_PLAN,
    DEFAULT_YARD,
    budget_options,
    program,
    yard_options,
)
from scheduler.commands.job import kept_job
from scheduler.commands.memory import by_option
from scheduler.commands.plan_sources import read_source, store_options
from scheduler.commands.progress import ProgressLine, stop_on_interrupt

if TYPE_CHECKING:
    from scheduler.plan import Plan


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
        help="with --committed or --store: keep only what starts inside the frozen "
        "window",
    )  # fmt: skip
    parser.add_argument(
        "--no-overtime", action="store_true",
        help="open no window of overtime but those that pins or a committed plan need",
    )  # fmt: skip
    store_options(parser)
    by_option(parser)
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
    from scheduler.cause_report import cause_lines, cause_objects
    from scheduler.causes import causes_of
    from scheduler.plan_file import write_plan
    from scheduler.planner import Request, make_plan
    from scheduler.rearranging import rearrange_if_worth_it
    from scheduler.report import changes_lines, report_lines
    from scheduler.searching.search import Budget

    source = read_source(args)
    book, committed = source.book, source.committed
    request = Request(
        budget=Budget(None if args.work else args.seconds, args.work),
        seed=args.seed,
        workers=args.workers,
        committed=committed,
        rearrange=args.rearrange,
        overtime=not args.no_overtime,
    )
    args.out.mkdir(parents=True, exist_ok=True)
    path = args.out / "plan.json"
    with (
        stop_on_interrupt() as stop,
        ProgressLine() as line,
        kept_job(args, source.store, stop, line.words) as job,
    ):
        find = rearrange_if_worth_it if args.rearrange else make_plan
        outcome = find(book, request, report=line.report, should_stop=stop.is_set)
        document = write_plan(outcome.plan, path)
        if job is not None:
            job.keep_plan(document, path)
    causes = () if committed is None else causes_of(committed, outcome.plan)
    if args.json:
        moves = cause_objects(causes)
        print(json.dumps({**_as_object(outcome.plan, path), "moves": moves}))
        return 0
    for text in source.lines:
        print(text)
    if committed is not None:
        print("\n".join(changes_lines(committed, outcome.plan)))
        print("\n".join(["", *cause_lines(causes)]))
        print()
    due_value, bounding = outcome.found.due_date_value, outcome.bounding
    print("\n".join(report_lines(outcome.plan, book, due_value, bounding)))
    print(f"\nPlan file: {path}")
    print("\n".join(_next_lines(outcome.plan, path, args)))
    return 0


def _next_lines(plan: Plan, path: Path, args: argparse.Namespace) -> list[str]:
    """What to run next, with options that hold for this plan."""
    name = program()
    yard = "" if args.yard == DEFAULT_YARD else f" --yard {args.yard}"
    orders = "".join(f" --orders {one}" for one in args.orders or [])
    usual = path == DEFAULT_PLAN
    file = "" if usual else f" --plan {path}"
    mold = plan.problem.molds[0]
    board = "make board" if usual and not yard else f"{name} board{file}{yard}"
    rows = (
        ("See it:", board),
        ("Check it:", f"{name} check {path}{_store(args)}"),
        (
            "Date one more boat:",
            f"{name} quote --model {mold.models[0]}{file}{yard}{orders}",
        ),
        (
            "Try one more mold:",
            f"{name} trial --add {mold.part}-mold:{mold.models[0]}{yard}{orders}",
        ),
    )
    return ["Next:", *(f"  {what:19} {command}" for what, command in rows)]


def _store(args: argparse.Namespace) -> str:
    """The option that names the store again, without a password."""
    if args.store is None:
        return ""
    from models.store.address import parse_address

    return f" --store {shlex.quote(parse_address(args.store).shown)}"


def _as_object(plan: Plan, path: Path) -> dict[str, Any]:
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
