"""`hullpace load`: check the yard and its orders and take them into the store."""

from __future__ import annotations

import argparse
import json
import shlex
from pathlib import Path
from typing import TYPE_CHECKING, Any

from models.errors import UsageError
from scheduler.commands.common import (
    DEFAULT_YARD,
    book_counts,
    plural,
    program,
    read_book,
    whole_or_zero,
    yard_options,
)
from scheduler.commands.memory import (
    author,
    shown_time,
    store_address,
    store_option,
    why_option,
)

if TYPE_CHECKING:
    from models.orders import Book
    from models.store.changes import Change
    from models.store.loads import LoadResult, State

MOST_SHOWN = 200


def register(subparsers: Any) -> None:
    """Add the command to a parser."""
    parser = subparsers.add_parser("load", help="take the yard and its orders in")
    yard_options(parser)
    store_option(parser)
    parser.add_argument(
        "--dry-run", action="store_true",
        help="only read, check and compare with the store; write nothing",
    )  # fmt: skip
    parser.add_argument(
        "--after", type=whole_or_zero, metavar="N",
        help="the load that you compared with: needed to change or withdraw anything",
    )  # fmt: skip
    parser.add_argument(
        "--template", type=Path, metavar="FILE",
        help="load nothing; write an empty workbook for this yard's orders (.xlsx)",
    )  # fmt: skip
    why_option(parser)
    parser.add_argument("--json", action="store_true", help="print an object")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Check everything, say what changes, and keep it; 1 if it was not kept."""
    from models.store.documents import from_book
    from models.store.loads import load
    from models.store.transactions import open_store

    book = read_book(args)
    if args.template is not None:
        return _template(book, args.template)
    address = store_address(args)
    if args.dry_run:
        result = _preview(address, book)
    else:
        store = open_store(address, create=True)
        result = load(store, from_book(book), author(args), args.after)
    if args.json:
        print(json.dumps(_as_object(args, result)))
    else:
        lines = [*_book_lines(book), *_state_lines(args, result)]
        print("\n".join(lines))
    return 0 if args.dry_run or result.done else 1


def _preview(address: str, book: Book) -> LoadResult:
    from models.store.changes import changes_between
    from models.store.documents import from_book
    from models.store.dropped import refuse_dropped
    from models.store.loads import LoadResult, State, current, with_changed_work
    from models.store.transactions import is_there, open_store, read

    state = State(0, None)
    files = from_book(book)
    if is_there(address):
        store = open_store(address)
        state = current(store)
        files = with_changed_work(state.loaded, files)
        read(store, lambda c: refuse_dropped(c, state.loaded, files))
    changes = changes_between(state.loaded, files)
    return LoadResult(state, state.number, changes, False)


def _book_lines(book: Book) -> list[str]:
    yard = book.yard
    files = sorted(name for name in book.sources or {} if "boats/" not in name)
    return [
        f"{yard.name}, planned from {yard.as_of} in {yard.time_zone}: no fault.",
        f"  read {', '.join([*files, 'boats/*.toml'])}",
        *(f"  {line}" for line in book_counts(book)),
    ]


def _state_lines(args: argparse.Namespace, result: LoadResult) -> list[str]:
    address = _shown_address(args)
    base = result.base
    if base.loaded is None:
        count = sum(one.kind == "order" for one in result.changes)
        what = f"the yard and {plural(count, 'order')}"
        if result.done:
            return [f"{address}: {what} loaded, as load {result.number}."]
        return [f"{address} holds nothing yet; `hullpace load` would keep {what}."]
    lines = [f"{address} holds {_shown_state(base)}."]
    if not result.changes:
        return [*lines, "Nothing has changed."]
    lines += _change_lines(result.changes)
    if result.done:
        return [*lines, f"Kept, as load {result.number}."]
    if any(one.kind == "order" and one.what == "withdrawn" for one in result.changes):
        lines.append(
            "An order that stands in no file is withdrawn; name every file of orders."
        )
    verb = "Nothing was loaded" if not args.dry_run else "Nothing is loaded by this"
    return [*lines, f"{verb}. If it is meant: {_command(args, base.number)}"]


def _shown_address(args: argparse.Namespace) -> str:
    from models.store.address import parse_address

    return parse_address(store_address(args)).shown


def _shown_state(base: State) -> str:
    assert base.loaded is not None
    assert base.at is not None
    at = shown_time(base.at, base.loaded.yard.yard.time_zone)
    return f"load {base.number} by {base.who} of {at}"


def _change_lines(changes: tuple[Change, ...]) -> list[str]:
    lines = []
    for one in changes[:MOST_SHOWN]:
        told = f": {'; '.join(one.details)}" if one.details else ""
        lines.append(f"  {one.what:9}  {one.kind} {one.id}{told}")
    if len(changes) > MOST_SHOWN:
        lines.append(f"  ... and {len(changes) - MOST_SHOWN} more")
    return lines


def _command(args: argparse.Namespace, base: int) -> str:
    words = []
    yard: Path = args.yard
    if yard != DEFAULT_YARD:
        words += ["--yard", str(yard)]
    for file in args.orders or []:
        words += ["--orders", str(file)]
    if args.store:
        words += ["--store", _shown_address(args)]
    words += ["--after", str(base)]
    return f"{program()} load {shlex.join(words)}"


def _as_object(args: argparse.Namespace, result: LoadResult) -> dict[str, Any]:
    return {
        "store": _shown_address(args),
        "base": result.base.number,
        "load": result.number,
        "loaded": result.done and not args.dry_run,
        "changes": [
            {
                "kind": one.kind,
                "id": one.id,
                "what": one.what,
                "details": list(one.details),
            }
            for one in result.changes
        ],
    }


def _template(book: Book, path: Path) -> int:
    """Write a workbook to be filled; an existing file stays as it is."""
    from models.loading.template import write_template

    if path.suffix.lower() != ".xlsx":
        raise UsageError(f"{path} does not end in .xlsx")
    if path.exists():
        raise UsageError(f"{path} is there already: name another file")
    write_template(book, path)
    print(f"{path}: fill it, then {program()} load --dry-run --orders {path}")
    return 0
