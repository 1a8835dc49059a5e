"""`hullpace order`: change or withdraw an order, with what that does to the dates."""

from __future__ import annotations

import argparse
import json
import shlex
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from models.errors import UsageError
from scheduler.commands.common import (
    DEFAULT_YARD,
    budget_options,
    program,
    whole,
)
from scheduler.commands.memory import (
    author,
    kept_store_options,
    store_address,
    store_words,
    why_option,
)
from scheduler.commands.progress import stop_on_interrupt

if TYPE_CHECKING:
    from models.change_order import Changed, Wish
    from models.orders import Book, Order
    from models.store.change_orders import Proposal
    from models.store.transactions import Store
    from scheduler.change_effect import Effect

NOTHING = "none"


def register(subparsers: Any) -> None:
    """Add the command to a parser."""
    parser = subparsers.add_parser(
        "order", help="change or withdraw an order, and what that does to the dates"
    )
    kinds = parser.add_subparsers(dest="kind", required=True, metavar="WHAT")
    change = kinds.add_parser(
        "change", help="other options or graphics",
        description="Without --after only says what the change comes to.",
    )  # fmt: skip
    change.add_argument("order", metavar="ORDER")
    change.add_argument(
        "--options", type=_codes, metavar="A;B",
        help=f"every option that the boat is to have, or '{NOTHING}'",
    )  # fmt: skip
    change.add_argument(
        "--graphics", metavar="LAYOUT", help=f"its graphics, or '{NOTHING}'"
    )
    change.add_argument(
        "--removal-hours", type=_removal, action="append", default=[],
        metavar="STEP=H", dest="removal",
        help="labor hours of taking off or putting in at a step that was begun",
    )  # fmt: skip
    withdraw = kinds.add_parser(
        "withdraw", help="take an order whose work has not begun out of the book",
        description="Without --after only says what it comes to.",
    )  # fmt: skip
    withdraw.add_argument("order", metavar="ORDER")
    for one in (change, withdraw):
        _shared_options(one)


def _shared_options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--after", type=whole, metavar="N",
        help="accept it: the load that it was compared with",
    )  # fmt: skip
    kept_store_options(parser)
    why_option(parser)
    budget_options(parser, 10.0)
    parser.add_argument("--json", action="store_true", help="print an object")
    parser.set_defaults(run=run)


def _codes(text: str) -> tuple[str, ...]:
    return () if text == NOTHING else tuple(one.strip() for one in text.split(";"))


def _removal(text: str) -> tuple[str, float]:
    step, _, hours = text.partition("=")
    try:
        value = float(hours)
    except ValueError:
        value = -1.0
    if not step or not 0 <= value < 10_000:
        raise argparse.ArgumentTypeError("expected STEP=HOURS, such as final.rig=4")
    return step, value


def run(args: argparse.Namespace) -> int:
    """Say what a change comes to, or keep it; 1 if nothing was changed."""
    from models.store.transactions import open_store

    store = open_store(store_address(args))
    if args.after is not None:
        return _accept(args, store)
    proposal = _propose(args, store)
    effect = _effect(args, store, proposal)
    if args.json:
        print(json.dumps(_as_object(args, proposal, effect)))
    else:
        print("\n".join(_lines(args, proposal, effect)))
    return 1


def _wish(args: argparse.Namespace) -> Callable[[Book], Wish]:
    if args.options is None and args.graphics is None:
        raise UsageError(f"{program()} order change needs --options or --graphics")

    def wish(book: Book) -> Wish:
        from models.change_order import Wish

        order = _order(book, args.order)
        options = order.options if args.options is None else args.options
        graphics = order.graphics if args.graphics is None else args.graphics
        graphics = None if graphics == NOTHING else graphics
        return Wish(options, graphics, dict(args.removal))

    return wish


def _order(book: Book, name: str) -> Order:
    return next(one for one in book.orders if one.order == name)


def _propose(args: argparse.Namespace, store: Store) -> Proposal:
    from models.store.change_orders import propose_change, propose_withdrawal

    if args.kind == "withdraw":
        return propose_withdrawal(store, args.order)
    return propose_change(store, args.order, _wish(args))


def _accept(args: argparse.Namespace, store: Store) -> int:
    from models.store.change_orders import accept_change, accept_withdrawal

    if args.kind == "withdraw":
        number = accept_withdrawal(store, args.order, author(args), args.after)
    else:
        wish = _wish(args)
        number = accept_change(store, args.order, wish, author(args), args.after)
    verb = "withdrawn" if args.kind == "withdraw" else "changed"
    if args.json:
        print(json.dumps({"order": args.order, "what": verb, "load": number}))
        return 0
    print(f"{args.order} is {verb}, as load {number}.")
    print(f"The floor's plan does not know yet: {program()} plan {store_words(args)}")
    return 0


def _effect(args: argparse.Namespace, store: Store, proposal: Proposal) -> Effect:
    from models.store.plans import history, read_plan
    from scheduler.change_effect import effect_of
    from scheduler.plan_file import plan_from_json
    from scheduler.planner import Request
    from scheduler.searching.search import Budget

    published = plan_from_json(read_plan(store)[1]) if history(store) else None
    request = Request(
        budget=Budget(None if args.work else args.seconds, args.work),
        seed=args.seed,
        workers=args.workers,
        committed=published,
    )
    with stop_on_interrupt() as stop:
        return effect_of(proposal.now, proposal.then, args.order, request, stop.is_set)


def _lines(args: argparse.Namespace, proposal: Proposal, effect: Effect) -> list[str]:
    from scheduler.difference_report import word_lines

    lines = [f"{args.order}, against load {proposal.load}:"]
    if proposal.changed is None:
        lines.append("  leaves the book; none of its work has begun")
    else:
        before = _order(proposal.now, args.order)
        lines += [f"  {one}" for one in _change_lines(before, proposal.changed)]
    lines += [f"  {one}" for one in proposal.dropped]
    zone = proposal.now.yard.time_zone
    lines.append(f"Planned without and with it, from {_first_day(proposal)} ({zone}):")
    lines += [f"  {one}" for one in word_lines(effect.difference)]
    lines.append("Nothing was changed. If it is meant: " + _command(args, proposal))
    return lines


def _first_day(proposal: Proposal) -> str:
    return proposal.now.yard.as_of.isoformat()


def _change_lines(before: Order, changed: Changed) -> list[str]:
    lines = []
    old, new = (", ".join(one) or NOTHING for one in (before.options, changed.options))
    if old != new:
        lines.append(f"options: {old} → {new}")
    if before.graphics != changed.graphics:
        lines.append(
            f"graphics: {before.graphics or NOTHING} → {changed.graphics or NOTHING}"
        )
    added = {one.code: one.name for one in changed.rework}
    for one in changed.steps:
        told = f" ({added[one.code]})" if one.code in added else ""
        if one.hours_before is None:
            lines.append(f"{one.code}: new, {one.hours_after:.4g} h{told}")
        elif one.hours_after is None:
            lines.append(f"{one.code}: {one.hours_before:.4g} h not needed any more")
        else:
            hours = f"{one.hours_before:.4g} h → {one.hours_after:.4g} h"
            lines.append(f"{one.code}: {hours}")
    lines += [f"{code}: stays as it was built" for code in changed.kept]
    return lines or ["nothing that it has not already"]


def _command(args: argparse.Namespace, proposal: Proposal) -> str:
    words = ["order", args.kind, args.order]
    if args.kind == "change":
        if args.options is not None:
            words += ["--options", ";".join(args.options) or NOTHING]
        if args.graphics is not None:
            words += ["--graphics", args.graphics]
        for step, hours in args.removal:
            words += ["--removal-hours", f"{step}={hours:g}"]
    if args.yard != DEFAULT_YARD:
        words += ["--yard", str(args.yard)]
    if args.store:
        from models.store.address import parse_address

        words += ["--store", parse_address(args.store).shown]
    words += ["--after", str(proposal.load), "--why", "..."]
    return f"{program()} {shlex.join(words)}"


def _as_object(
    args: argparse.Namespace, proposal: Proposal, effect: Effect
) -> dict[str, Any]:
    from scheduler.difference_report import as_object

    changed = proposal.changed
    return {
        "order": args.order,
        "what": args.kind,
        "load": proposal.load,
        "changed": False,
        "steps": [
            {
                "operation": one.code,
                "hours_before": one.hours_before,
                "hours_after": one.hours_after,
            }
            for one in (changed.steps if changed else ())
        ],
        "kept": list(changed.kept if changed else ()),
        "dropped": list(proposal.dropped),
        **as_object(effect.difference),
    }
