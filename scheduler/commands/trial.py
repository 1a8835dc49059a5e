"""`hullpace trial`: what one more mold, place or person would bring."""

from __future__ import annotations

import argparse
import json
import sys
from typing import TYPE_CHECKING, Any

from models.errors import UsageError
from scheduler.commands.common import (
    DEFAULT_YARD,
    budget_options,
    read_book,
    table,
    yard_options,
)
from scheduler.commands.job import kept_job
from scheduler.commands.memory import by_option
from scheduler.commands.progress import stop_on_interrupt

if TYPE_CHECKING:
    from models.orders import Book
    from models.store.transactions import Store
    from scheduler.trial import TrialResult


def register(subparsers: Any) -> None:
    """Add the command to a parser."""
    parser = subparsers.add_parser("trial", help="the same book with something added")
    yard_options(parser)
    budget_options(parser, 10.0)
    parser.add_argument(
        "--add", action="append", required=True, metavar="WHAT",
        help="PART-mold:MODEL, a kind of place such as bay, or person:SKILL+SKILL; "
        "may be repeated",
    )  # fmt: skip
    parser.add_argument(
        "--goal", choices=("late-days", "last-finish"), default="late-days",
        help="what plans of both arms are made for (default late-days)",
    )  # fmt: skip
    parser.add_argument(
        "--store", metavar="URL",
        help="try it on what was loaded, from what the floor recorded",
    )  # fmt: skip
    by_option(parser)
    parser.add_argument("--json", action="store_true")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Plan both arms and print them side by side."""
    from scheduler.searching.search import Budget
    from scheduler.trial import run_trial

    said = ""

    def tell(text: str) -> None:
        nonlocal said
        said = text
        if sys.stderr.isatty():
            print(f"\r\033[K{text}", end="", file=sys.stderr, flush=True)

    book, store = _book(args)
    budget = Budget(None if args.work else args.seconds, args.work)
    with stop_on_interrupt() as stop, kept_job(args, store, stop, lambda: said):
        result = run_trial(
            book, args.add, budget, goal=args.goal, workers=args.workers, tell=tell,
            should_stop=stop.is_set,
        )  # fmt: skip
    tell("")
    if args.json:
        print(json.dumps(_as_object(result)))
    else:
        print("\n".join(_report(result)))
    return 0


def _book(args: argparse.Namespace) -> tuple[Book, Store | None]:
    """The book of files, or the one of a store as it is true now."""
    if args.store is None:
        return read_book(args), None
    if args.orders or args.yard != DEFAULT_YARD:
        raise UsageError("--store holds the yard and its orders: leave out --yard")
    from models.store.transactions import open_store
    from scheduler.replanning import recall_all

    store = open_store(args.store)
    return recall_all(store).book, store


def _report(result: TrialResult) -> list[str]:
    from scheduler.trial import best_run

    added = ", ".join(one.text for one in result.added)
    rows = [
        (
            one.name,
            one.unit,
            f"{one.before:.1f}",
            f"{one.after:.1f}",
            change_text(one.before, one.after),
            f"{one.spread:.1f}",
            "measurable" if one.measurable else "no measurable difference",
        )
        for one in result.measures
    ]
    rows.append(
        (
            "throughput bound",
            "boats a year",
            f"{result.before.boats_a_year:.1f}",
            f"{result.after.boats_a_year:.1f}",
            change_text(result.before.boats_a_year, result.after.boats_a_year),
            "-",
            "a bound, not a plan",
        )
    )
    heads = ("figure", "unit", "as it is", "with", "change", "spread", "")
    goal = {"late-days": "few late days", "last-finish": "an early last finish"}
    lines = [
        f"The same book as it is, and with {added}, planned for {goal[result.goal]}; "
        "medians of the seeds.",
        "",
    ]
    lines += table(heads, rows, "  rrrr")
    lines += ["", f"Before: {result.before.text}. After: {result.after.text}."]
    for name, days in result.used_days.items():
        lines.append(f"Used: {name}, {days:.1f} days.")
    if not result.measurable:
        lines.append("No measurable difference: all changes lie inside the spread.")
    lines += ["", "Finish dates that change (best plan of each):"]
    before = best_run(result.base_runs).finishes
    after = best_run(result.changed_runs).finishes
    moved = [
        (name, before[name], after[name])
        for name in before
        if before[name] != after[name]
    ]
    return lines + (table(("order", "as it is", "with"), moved) if moved else ["none"])


def change_text(before: float, after: float) -> str:
    """What a figure changed by; a sign only where something is left after rounding."""
    text = f"{after - before:+.1f}"
    return "0.0" if text in ("+0.0", "-0.0") else text


def _as_object(result: TrialResult) -> dict[str, Any]:
    return {
        "added": [one.text for one in result.added],
        "goal": result.goal,
        "measures": [
            {
                "name": one.name,
                "unit": one.unit,
                "before": one.before,
                "after": one.after,
                "spread": one.spread,
                "measurable": one.measurable,
            }
            for one in result.measures
        ],
        "used_days": result.used_days,
        "throughput": {
            "before": result.before.boats_a_year,
            "after": result.after.boats_a_year,
            "limited_before": list(result.before.limited_by),
            "limited_after": list(result.after.limited_by),
        },
        "finishes": {
            "before": [run.finishes for run in result.base_runs],
            "after": [run.finishes for run in result.changed_runs],
        },
    }
