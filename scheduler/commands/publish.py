"""`hullpace publish`: make a checked plan the one that the floor works to."""

from __future__ import annotations

import argparse
import json
import shlex
from pathlib import Path
from typing import TYPE_CHECKING, Any

from models.errors import PlanRefused
from scheduler.commands.common import (
    DEFAULT_PLAN,
    DEFAULT_YARD,
    plural,
    program,
    whole,
)
from scheduler.commands.memory import (
    author,
    kept_store_options,
    shown_time,
    store_address,
    why_option,
)

if TYPE_CHECKING:
    from models.store.plans import Publication, Published
    from models.store.transactions import Store


def register(subparsers: Any) -> None:
    """Add the command to a parser."""
    parser = subparsers.add_parser(
        "publish", help="make a plan the one that the floor works to"
    )
    parser.add_argument(
        "plan", type=Path, nargs="?", default=DEFAULT_PLAN,
        help="default build/plan.json",
    )  # fmt: skip
    kept_store_options(parser)
    parser.add_argument(
        "--replaces", type=whole, metavar="N",
        help="the published plan that you compared with: needed to replace it",
    )  # fmt: skip
    parser.add_argument(
        "--entries", type=whole, metavar="N",
        help="the newest entry from the floor that you know of, although the plan does "
        "not",
    )  # fmt: skip
    why_option(parser)
    parser.add_argument("--json", action="store_true", help="print an object")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Check, compare with what is published, keep; 1 if it was not published."""
    from models.store.plans import publish
    from models.store.transactions import open_store

    document = _sound_document(args.plan)
    store = open_store(store_address(args))
    result = publish(store, document, author(args), args.replaces, args.entries)
    if args.json:
        print(json.dumps(_as_object(args, result)))
    else:
        print("\n".join(_lines(args, store, document, result)))
    return 0 if result.done else 1


def _sound_document(path: Path) -> dict[str, Any]:
    from scheduler.checker import check
    from scheduler.plan_file import read_json

    document = read_json(path)
    found = check(document)
    if found:
        raise PlanRefused(
            f"{path} must not be worked to, {plural(len(found), 'violation')}: "
            f"`{program()} check {path}` lists them; nothing was published"
        )
    return document


def _lines(
    args: argparse.Namespace,
    store: Store,
    document: dict[str, Any],
    result: Published,
) -> list[str]:
    before = result.before
    zone = document["problem"]["time_zone"]
    if before is not None and before.number == result.number and result.done:
        return [f"{args.plan} is {_shown(before, zone)} already; nothing was changed."]
    operations = len(document["answer"]["operations"])
    boats = plural(len(document["answer"]["orders"]), "boat")
    checked = f"{args.plan}: {boats}, {operations} operations keep every rule."
    if before is None:
        return [checked, f"Published, as plan {result.number}."]
    lines = [checked, f"Against {_shown(before, zone)}:"]
    lines += [f"  {one}" for one in _differences(store, before, document)]
    if result.done:
        return [*lines, f"Published, as plan {result.number}."]
    return [
        *lines,
        f"Nothing was published. All of it: {program()} diff {_options(args)}"
        f"{before.number} {shlex.quote(str(args.plan))}",
        f"If it is meant: {program()} publish {_options(args)}"
        f"--replaces {before.number} {shlex.quote(str(args.plan))}",
    ]


def _shown(publication: Publication, zone: str) -> str:
    at = shown_time(publication.at, zone)
    return f"plan {publication.number}, published by {publication.who} on {at}"


def _differences(
    store: Store, before: Publication, document: dict[str, Any]
) -> list[str]:
    from models.store.plans import read_plan
    from scheduler.difference import difference
    from scheduler.difference_report import word_lines
    from scheduler.plan_file import plan_from_json

    _, old = read_plan(store, before.number)
    return word_lines(difference(plan_from_json(old), plan_from_json(document)))


def _options(args: argparse.Namespace) -> str:
    words = []
    if args.yard != DEFAULT_YARD:
        words += ["--yard", str(args.yard)]
    if args.store:
        from models.store.address import parse_address

        words += ["--store", parse_address(args.store).shown]
    return "".join(f"{shlex.quote(word)} " for word in words)


def _as_object(args: argparse.Namespace, result: Published) -> dict[str, Any]:
    before = result.before
    return {
        "plan": str(args.plan),
        "published": result.done,
        "number": result.number,
        "before": before.number if before is not None else None,
    }
