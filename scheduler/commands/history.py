"""`hullpace history`: who changed what, when and why; all of it, or one order's."""

from __future__ import annotations

import argparse
import json
from datetime import datetime
from typing import TYPE_CHECKING, Any

from scheduler.commands.common import plural, table
from scheduler.commands.memory import (
    kept_store_options,
    shown_time,
    store_address,
    store_zone,
)

if TYPE_CHECKING:
    from models.store.history import OrderEvent
    from models.store.log import Entry

MOST_NAMED = 4


def register(subparsers: Any) -> None:
    """Add the command to a parser."""
    parser = subparsers.add_parser(
        "history", help="who changed what, when and why, of all or one order"
    )
    parser.add_argument("order", nargs="?", metavar="ORDER", help="only this order")
    kept_store_options(parser)
    parser.add_argument("--json", action="store_true", help="print objects")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Print what happened, oldest first."""
    from models.store.history import order_history
    from models.store.log import entries
    from models.store.transactions import open_store, read

    store = open_store(store_address(args))
    if args.order is not None:
        rows = [_of_order(one) for one in order_history(store, args.order)]
    else:
        rows = [_of_log(one) for one in read(store, entries)]
    if args.json:
        print(json.dumps(rows))
        return 0
    zone = store_zone(store)
    shown = [
        (_time(one["at"], zone), one["who"], one["what"], one["why"]) for one in rows
    ]
    print("\n".join(table(("when", "who", "what", "why"), shown)))
    print(f"Times in {zone}.")
    return 0


def _time(at: str, zone: str) -> str:
    return shown_time(datetime.fromisoformat(at), zone)


def _of_order(one: OrderEvent) -> dict[str, Any]:
    return {
        "at": one.at.isoformat(),
        "who": one.who,
        "what": f"{one.source} {one.number}: {'; '.join(one.details)}",
        "why": one.why,
    }


def _of_log(one: Entry) -> dict[str, Any]:
    return {
        "at": one.at.isoformat(),
        "who": one.who,
        "what": _told(one),
        "why": one.why,
    }


def _told(one: Entry) -> str:
    told = one.details
    if one.action == "load":
        parts = [
            f"{what} {_named(told[what])}"
            for what in ("added", "changed", "withdrawn")
            if told[what]
        ]
        return f"load {told['load']}: {'; '.join(parts) or 'same data, new files'}"
    if one.action == "order":
        return f"load {told['load']}: {told['what']} order {told['order']}"
    if one.action == "publish":
        instead = f" instead of plan {told['replaces']}" if told["replaces"] else ""
        return f"plan {told['plan']} published upon load {told['load']}{instead}"
    if one.action == "record":
        count, warned = len(told["numbers"]), len(told.get("warnings", {}))
        kept = f", with {plural(warned, 'warning')}" if warned else ""
        if count == 1:
            return f"entry {told['numbers'][0]} from the floor{kept}"
        first, last = told["numbers"][0], told["numbers"][-1]
        return f"entries {first} to {last} from the floor{kept}"
    if one.action == "reservation":
        if told["what"] == "declined":
            return f"{told['order']} declined; slot for {told['promised']} given back"
        until = f" until {told['until']}" if told["what"] == "reserved" else ""
        return f"{told['order']} {told['what']} for {told['promised']}{until}"
    if one.action == "standard":
        boats = plural(told["boats"], "boat")
        figure = f"x {told['factor']:.2f} from {boats}"
        return f"standard of {told['step']}, {figure}: {told['verdict']}"
    if one.action == "stop":
        return f"job {told['job']} of {told['of']}: asked to stop"
    if one.action == "user":
        state = f"role {told['role']}" if told["active"] else "ended"
        return f"user {told['user']}: {state}"
    return f"restored: {told['entries']} entries, instead of {told['replaced']}"


def _named(names: list[str]) -> str:
    if len(names) > MOST_NAMED:
        return f"{len(names)} items"
    return ", ".join(names)
