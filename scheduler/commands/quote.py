"""`hullpace quote`: the earliest date for one more boat, with nothing else moved."""

from __future__ import annotations

import argparse
import json
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from models.errors import UsageError
from scheduler.commands.common import (
    DEFAULT_PLAN,
    DEFAULT_YARD,
    local_date,
    open_plan,
    program,
    refuse_missing_yard,
    whole_or_zero,
    yard_options,
)
from scheduler.commands.memory import author, sentence, store_words, why_option

if TYPE_CHECKING:
    from collections.abc import Sequence

    from models.orders import Book
    from models.store.reservations import Seen
    from models.store.transactions import Store
    from scheduler.plan import Plan
    from scheduler.promise import Quote


@dataclass(frozen=True)
class Question:
    """A book with the boat that is asked for, called `name`, and the plan beside it."""

    book: Book
    plan: Plan
    name: str
    store: Store | None = None
    seen: Seen | None = None


def register(subparsers: Any) -> None:
    """Add the command to a parser."""
    parser = subparsers.add_parser("quote", help="a date for one more boat")
    yard_options(parser)
    parser.add_argument("--plan", type=Path, default=DEFAULT_PLAN, metavar="FILE")
    parser.add_argument("--model", required=True, metavar="MODEL")
    parser.add_argument("--options", default="", metavar="A,B", help="option ids")
    parser.add_argument("--graphics", metavar="LAYOUT", help="a graphics layout")
    parser.add_argument("--wanted", type=local_date, metavar="DATE")
    parser.add_argument("--seed", type=whole_or_zero, default=0, metavar="N")
    parser.add_argument(
        "--store", metavar="URL",
        help="quote beside the published plan, and what was reserved beside it",
    )  # fmt: skip
    parser.add_argument(
        "--reserve", type=sentence, metavar="ORDER",
        help="with --store: keep the slot, under the number of the order to be",
    )  # fmt: skip
    parser.add_argument(
        "--until", type=local_date, metavar="DATE",
        help="with --reserve: the last day on which the quote holds",
    )  # fmt: skip
    parser.add_argument(
        "--customer", type=sentence, default="", metavar="REF",
        help="with --reserve: the customer's reference",
    )  # fmt: skip
    why_option(parser)
    parser.add_argument("--json", action="store_true")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Print the date and what it waits for; 1 if a wanted date cannot be kept."""
    from scheduler.promise import quote

    _refuse_odd(args)
    options = tuple(one.strip() for one in args.options.split(",") if one.strip())
    asked = _of_files(args, options) if args.store is None else _of_store(args, options)
    found = quote(asked.book, asked.plan, seed=args.seed, name=asked.name)
    kept = args.wanted is None or found.proposed <= args.wanted
    reserved = _reserve(args, asked, found) if args.reserve and kept else None
    if args.json:
        print(json.dumps(_as_object(args, found, kept, reserved)))
        return 0 if kept else 1
    chosen = ", ".join(options) or "no options"
    if args.wanted is not None:
        answer = "Yes" if kept else "No"
        print(f"{answer}: wanted {args.wanted}, nearest date {found.proposed}.")
    print(f"{args.model} with {chosen}: ready to promise for {found.proposed}.")
    print(
        f"Planned finish {found.finish}, then the yard's buffer; no operation of "
        "another boat moves."
    )
    print(_reason(found, {one.id: one.name for one in asked.book.yard.skills}))
    if reserved is not None:
        store = store_words(args)
        print(
            f"{args.reserve} is reserved until {args.until}, as reservation {reserved}."
            f"\nIf the customer agrees: {program()} accept {args.reserve} {store}"
            f"\nIf not: {program()} decline {args.reserve} {store}"
        )
    elif args.reserve:
        print("Nothing was reserved.")
    return 0 if kept else 1


def _refuse_odd(args: argparse.Namespace) -> None:
    """Refuse options that do not go together."""
    if args.store is None and (args.reserve or args.until or args.customer):
        raise UsageError("--reserve, --until and --customer need --store URL")
    if (args.reserve is None) != (args.until is None):
        raise UsageError("--reserve ORDER and --until DATE need one another")
    files = args.orders or args.yard != DEFAULT_YARD or args.plan != DEFAULT_PLAN
    if args.store is not None and files:
        raise UsageError(
            "--store holds the yard, its orders and the published plan: leave out "
            "--yard, --orders and --plan"
        )


def _of_files(args: argparse.Namespace, options: Sequence[str]) -> Question:
    from scheduler.promise import NAME, asked_book

    plan = open_plan(args.plan)
    refuse_missing_yard(args.yard)
    book = asked_book(
        args.yard,
        args.orders,
        model=args.model,
        options=options,
        graphics=args.graphics,
    )
    return Question(book, plan, NAME)


def _of_store(args: argparse.Namespace, options: Sequence[str]) -> Question:
    from models.loading.asked import asked_order
    from models.store.transactions import open_store
    from scheduler.promise import NAME
    from scheduler.replanning import recall_all

    store = open_store(args.store)
    memory = recall_all(store, reserved=True)
    if memory.published is None:
        raise UsageError(f"no plan was published in {store.shown} yet")
    name = args.reserve or NAME
    if any(one.order == name for one in memory.book.orders):
        raise UsageError(f"--reserve {name}: that order is there already: name another")
    cells = {
        "order": name,
        "customer_ref": args.customer,
        "model": args.model,
        "options": ";".join(options),
        "graphics": args.graphics or "",
        "wanted": memory.book.yard.as_of.isoformat(),
    }
    order = asked_order(memory.book, cells)
    book = replace(memory.book, orders=(*memory.book.orders, order))
    return Question(book, memory.published, name, store, memory.seen)


def _reserve(args: argparse.Namespace, asked: Question, found: Quote) -> int:
    """Keep the slot; the number of its reservation."""
    from models.store.reservations import reserve
    from scheduler.plan_file import plan_to_json

    assert asked.store is not None
    assert asked.seen is not None
    order = next(one for one in asked.book.orders if one.order == asked.name)
    order = replace(
        order,
        wanted=args.wanted,
        promised=found.proposed,
        reserved_until=args.until,
    )
    document = plan_to_json(found.plan)
    return reserve(asked.store, order, found.finish, document, asked.seen, author(args))


def _reason(found: Quote, skills: dict[str, str]) -> str:
    if found.longest_wait is None:
        return "Nothing holds it up: its own work and cures take that long."
    from scheduler.report import called, length

    resource, operation = found.longest_wait
    step = operation.split("/", 1)[-1]
    days = length(found.waits_days[resource])
    return (
        f"It waits longest for {called(resource, skills)}: {days} "
        f"(step {step}).\nIn an empty yard it would be finished on {found.alone}."
    )


def _as_object(
    args: argparse.Namespace, found: Quote, kept: bool, reserved: int | None
) -> dict[str, Any]:
    until: date | None = args.until
    return {
        "model": args.model,
        "finish": found.finish.isoformat(),
        "proposed": found.proposed.isoformat(),
        "alone": found.alone.isoformat(),
        "wanted": args.wanted.isoformat() if args.wanted else None,
        "kept": kept,
        "waits_for": {name: round(days, 1) for name, days in found.waits_days.items()},
        "reservation": reserved,
        "reserved_until": until.isoformat() if until and reserved else None,
    }
