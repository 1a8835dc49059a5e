"""`hullpace accept`: a customer agrees to a quote whose slot was reserved."""

from __future__ import annotations

import argparse
import csv
import io
import json
from typing import TYPE_CHECKING, Any

from scheduler.commands.memory import (
    author,
    kept_store_options,
    store_address,
    why_option,
)

if TYPE_CHECKING:
    from models.orders import Order


def register(subparsers: Any) -> None:
    """Add the command to a parser."""
    parser = subparsers.add_parser(
        "accept", help="turn a reserved boat into an order that no longer runs out"
    )
    parser.add_argument("order", metavar="ORDER", help="the order that was reserved")
    kept_store_options(parser)
    why_option(parser)
    parser.add_argument("--json", action="store_true", help="print an object")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Accept, and say what the order book needs; 1 if the quote has run out."""
    from models.store.reservations import accept
    from models.store.transactions import open_store

    row, new = accept(open_store(store_address(args)), args.order, author(args))
    order = row.order
    if args.json:
        told = {"order": order.order, "promised": str(order.promised), "new": new}
        print(json.dumps(told))
        return 0
    already = "" if new else " already; nothing was changed"
    print(f"{order.order} is accepted for {order.promised}{already}.")
    print("Plans from the store keep it. Before its work begins, add it to orders.csv:")
    print(_row(order))
    return 0


def _row(order: Order) -> str:
    """The row of the order book."""
    cells = (
        order.order,
        order.customer_ref,
        order.model,
        ";".join(order.options),
        order.graphics or "",
        order.wanted or "",
        order.promised or "",
        "",
        order.weight,
    )
    out = io.StringIO()
    csv.writer(out, lineterminator="").writerow([*cells, "", ""])
    return out.getvalue()
