"""`hullpace hours`: labor hours and materials from quantities, line by line."""

from __future__ import annotations

import argparse
import json
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from models.errors import UsageError
from models.hours import HourLine, hour_lines
from models.job_orders import work_models, work_orders
from models.learning import boat_number, boat_numbers
from models.loading.faults import one_of
from models.orders import Order
from scheduler.commands.common import (
    DEFAULT_YARD,
    open_plan,
    read_book,
    table,
    yard_options,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from models.orders import Book
    from scheduler.needs import Need


def register(subparsers: Any) -> None:
    """Add the command to a parser."""
    parser = subparsers.add_parser("hours", help="labor hours of orders, line by line")
    yard_options(parser)
    one = parser.add_mutually_exclusive_group()
    one.add_argument("--order", metavar="ORDER", help="only this order, line by line")
    one.add_argument("--model", metavar="MODEL", help="a model without options")
    parser.add_argument(
        "--materials", action="store_true", help="materials instead of hours"
    )
    parser.add_argument(
        "--plan", type=Path, metavar="FILE",
        help="with --materials: days of need, weeks and missing items of this plan",
    )  # fmt: skip
    parser.add_argument(
        "--store", metavar="URL",
        help="orders as they were loaded, with the standards that were accepted",
    )  # fmt: skip
    parser.add_argument("--json", action="store_true", help="print objects, not tables")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Print the derivation of one order or model, or the totals of the book."""
    if args.plan is not None and not args.materials:
        raise UsageError("--plan needs --materials: hours do not depend on a plan")
    book = read_book(args) if args.store is None else _loaded_book(args)
    known = book.orders if args.materials else work_orders(book)
    chosen = _chosen(book, known, args.order, args.model)
    if args.materials:
        return _materials(args, book, chosen)
    numbers = boat_numbers(book.models, book.orders)
    models = work_models(book)
    for order in chosen:
        if order.order not in models:
            models[order.order] = book.models[order.model]
        if order.order not in numbers:  # one more boat, behind those of the book
            of_model = sum(one.model == order.model for one in book.orders)
            model = models[order.order]
            numbers[order.order] = boat_number(model, of_model + 1)
    derived = [
        (
            order,
            hour_lines(models[order.order], order, book.yard, numbers[order.order]),
        )
        for order in chosen
    ]
    if args.json:
        print(json.dumps([_as_object(order, lines) for order, lines in derived]))
    elif args.order or args.model:
        for order, lines in derived:
            _print_lines(order, lines)
    else:
        rows = [
            (order.order, order.model, len(lines), f"{_total(lines):.2f}")
            for order, lines in derived
        ]
        print("\n".join(table(("order", "model", "lines", "hours"), rows, "  rr")))
        print(f"\n{sum(_total(lines) for _, lines in derived):.2f} labor hours in all.")
        print("One order line by line: hullpace hours --order ORDER")
    return 0


def _loaded_book(args: argparse.Namespace) -> Book:
    """The book of a store, at the standards that hold."""
    from models.store.decisions import loaded_book
    from models.store.transactions import open_store

    if args.orders or args.yard != DEFAULT_YARD:
        raise UsageError("--store holds the yard and its orders: leave out the files")
    return loaded_book(open_store(args.store))


def _materials(args: argparse.Namespace, book: Book, chosen: list[Order]) -> int:
    """Print the bills of materials, and what a plan says about them."""
    from scheduler import material_report as report
    from scheduler.needs import needs
    from scheduler.shortages import missing_items

    if not book.yard.materials:
        raise UsageError("yard.toml names no materials, so there is nothing to list")
    plan = open_plan(args.plan) if args.plan else None
    rows = needs(book, chosen, plan)
    missing = None if plan is None else missing_items(plan, book)
    if args.json:
        own: dict[str, list[Need]] = {order.order: [] for order in chosen}
        for row in rows:
            own[row.line.order].append(row)
        objects = [
            report.as_object(order, own[order.order], missing) for order in chosen
        ]
        print(json.dumps(objects))
        return 0
    lines: list[str] = []
    if args.order or args.model:
        for order in chosen:
            lines += report.bill_lines(order, rows)
    else:
        lines += [f"MATERIALS OF {len(chosen)} ORDERS", *report.total_lines(rows)]
        if missing is None:
            lines += ["With --plan FILE: days of need, weeks, what missing items cost."]
        else:
            lines += ["", "TO COME, BY WEEK OF NEED", *report.week_lines(rows)]
            lines += report.unplanned_line(rows)
            lines += ["", "MISSING ITEMS", *report.missing_lines(missing)]
        lines += ["One order line by line: hullpace hours --materials --order ORDER"]
    print("\n".join([*lines, *report.caution_lines(rows)]))
    return 0


def _chosen(
    book: Book, orders: Sequence[Order], order: str | None, model: str | None
) -> list[Order]:
    if model is not None:
        if model not in book.models:
            near = one_of(model, list(book.models), "a model")
            raise UsageError(f"no model {model!r}: expected {near}")
        plain = Order(model, "", model, (), None, None, None, None)
        return [replace(plain, order=f"{model} without options")]
    if order is not None:
        found = [one for one in orders if one.order == order]
        if not found:
            near = one_of(order, [one.order for one in orders], "an order")
            raise UsageError(f"no order {order!r}: expected {near}")
        return found
    return list(orders)


def _total(lines: tuple[HourLine, ...]) -> float:
    return round(sum(line.shown_hours for line in lines), 2)


def _print_lines(order: Order, lines: tuple[HourLine, ...]) -> None:
    rows = [
        (
            line.operation,
            line.text,
            f"{line.quantity:g} {line.unit}" if line.quantity is not None else "-",
            f"{line.factor:g}",
            f"{line.hours_per_unit:g}",
            f"{line.allowance * 100:g} %",
            f"{line.shown_hours:.2f}",
        )
        for line in lines
    ]
    heads = ("step", "work", "quantity", "factor", "h/unit", "allowance", "hours")
    print(f"{order.order} ({order.model})")
    print("\n".join(table(heads, rows, "  rrrrr")))
    print(f"\n{_total(lines):.2f} labor hours; each line = quantity x factor x h/unit")
    print("x (1 + allowance as a share of the job time), shown to the hundredth.")


def _as_object(order: Order, lines: tuple[HourLine, ...]) -> dict[str, Any]:
    return {
        "order": order.order,
        "model": order.model,
        "hours": _total(lines),
        "lines": [
            {
                "operation": line.operation,
                "station": line.station,
                "text": line.text,
                "basis": line.basis,
                "quantity": line.quantity,
                "unit": line.unit,
                "factor": line.factor,
                "hours_per_unit": line.hours_per_unit,
                "allowance": line.allowance,
                "hours": line.shown_hours,
            }
            for line in lines
        ],
    }
