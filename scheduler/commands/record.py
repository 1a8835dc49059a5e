"""`hullpace record`: what was begun, paused and finished, with hours and people."""

from __future__ import annotations

import argparse
import json
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from models.errors import UsageError
from scheduler.commands.common import plural, program, whole
from scheduler.commands.memory import (
    author,
    kept_store_options,
    sentence,
    store_address,
    store_words,
    why_option,
)

if TYPE_CHECKING:
    from models.loading.floor_entries import Draft
    from models.recording.entries import FloorEntry
    from models.store.records import RecordResult
    from models.store.transactions import Store

_CELLS = (
    "hours",
    "remaining_hours",
    "people",
    "mold",
    "place",
    "note",
    "result",
    "air_celsius",
    "mold_celsius",
    "humidity_percent",
    "batch",
    "photo",
    "rework_hours",
    "rework_step",
)
_CAUTION = (
    "Kept with what was warned of. Before anybody goes on: follow the material's data "
    "sheet, local codes and licensed practice."
)


def register(subparsers: Any) -> None:
    """Add the command to a parser."""
    parser = subparsers.add_parser(
        "record", help="what the floor did: start, pause, finish, hours, people",
        description="Record one entry, or those of a file. WHAT is start, pause, "
        "finish, hours, people, scrap, rework, gate, or withdraw with --corrects. "
        "Nothing is ever removed: an entry corrects another, and both are kept.",
    )  # fmt: skip
    parser.add_argument("what", nargs="?", metavar="WHAT")
    parser.add_argument("order", nargs="?", metavar="ORDER")
    parser.add_argument("operation", nargs="?", metavar="OPERATION")
    _entry_options(parser)
    parser.add_argument(
        "--from", dest="file", type=Path, metavar="FILE",
        help="a CSV file of entries: all of them or, with a fault, none",
    )  # fmt: skip
    kept_store_options(parser)
    why_option(parser)
    parser.add_argument("--json", action="store_true", help="print an object")
    parser.set_defaults(run=run)


def _entry_options(parser: argparse.ArgumentParser) -> None:
    for name, metavar, text in (
        ("at", "TIME", "local time, such as 2027-03-09T06:30 (default now)"),
        ("hours", "H", "labor hours worked; of a rework, to be worked again"),
        ("remaining-hours", "H", "labor hours that are left"),
        ("people", "A;B", "who is on it, by code"),
        ("mold", "M", "the mold that its part is in"),
        ("place", "P", "the place that its part is in"),
        ("result", "R", "of a gate: pass or fail"),
        ("rework-hours", "H", "of a gate that failed: labor hours of a rework"),
        ("rework-step", "STEP", "the step whose station, skill and crew the rework "
         "takes (default that of the gate)"),
        ("note", "TEXT", "what happened; needed for scrap and rework"),
        ("batch", "CODE", "of the gel coat or resin"),
        ("photo", "REFERENCE", "name or number of a picture that is kept elsewhere"),
    ):  # fmt: skip
        parser.add_argument(
            f"--{name}", type=sentence, default="", metavar=metavar, help=text
        )
    for option, column, metavar, text in (
        ("air-c", "air_celsius", "C", "degrees Celsius of the air, for gel coat and "
         "laminate"),
        ("mold-c", "mold_celsius", "C", "degrees Celsius of the mold"),
        ("humidity", "humidity_percent", "PERCENT", "relative humidity"),
    ):  # fmt: skip
        parser.add_argument(
            f"--{option}", type=sentence, default="", metavar=metavar, help=text,
            dest=column,
        )  # fmt: skip
    parser.add_argument(
        "--corrects", type=whole, metavar="N",
        help="the entry in whose place this one holds; --why says why",
    )  # fmt: skip


def run(args: argparse.Namespace) -> int:
    """Record, all or nothing, and say what is kept."""
    from models.store.records import record
    from models.store.transactions import open_store

    _refuse_both(args)
    store = open_store(store_address(args))
    drafts = _drafts(args, store)
    result = record(store, drafts, author(args))
    if args.json:
        print(json.dumps(_as_object(drafts, result)))
    else:
        print("\n".join(_lines(drafts, result, store_words(args))))
    return 0


def _refuse_both(args: argparse.Namespace) -> None:
    name = program()
    given = any(getattr(args, one) for one in ("what", "at", "corrects", *_CELLS))
    if args.file is not None and given:
        raise UsageError(f"{name} record --from FILE takes entries from the file only")
    if args.file is None and args.what is None:
        raise UsageError(f"{name} record needs WHAT ORDER OPERATION, or --from FILE")
    taking_back = args.what == "withdraw" and args.corrects is not None
    if args.file is None and args.operation is None and not taking_back:
        raise UsageError(f"{name} record {args.what} needs an order and an operation")


def _drafts(args: argparse.Namespace, store: Store) -> list[Draft]:
    from models.loading.floor_entries import parse_floor_entry, read_floor_entries

    if args.file is not None:
        return read_floor_entries(args.file)
    cells = {name: getattr(args, name) or "" for name in ("order", "operation")}
    cells["at"] = args.at
    if args.what == "withdraw" and args.operation is None:
        cells = _of_entry(store, args.corrects)
    cells["at"] = cells["at"] or _now(store)
    cells |= {name: getattr(args, name) for name in _CELLS}
    cells |= {"what": args.what, "corrects": str(args.corrects or "")}
    return [parse_floor_entry(cells, "record")]


def _of_entry(store: Store, number: int) -> dict[str, str]:
    """What a withdrawal is about: the entry that it names."""
    from models.store.records import records

    for row in records(store):
        if row.number == number:
            entry = row.entry
            at = entry.at.isoformat(timespec="minutes")
            return {"order": entry.order, "operation": entry.operation, "at": at}
    raise UsageError(f"--corrects {number}: {store.shown} has no such entry")


def _now(store: Store) -> str:
    from models.store.loads import current

    loaded = current(store).loaded
    zone = ZoneInfo("UTC" if loaded is None else loaded.yard.yard.time_zone)
    now = datetime.now(UTC).astimezone(zone).replace(tzinfo=None)
    return now.isoformat(timespec="minutes")


def _lines(drafts: list[Draft], result: RecordResult, store: str) -> list[str]:
    new = {row.number: row for row in result.new}
    if not new and len(drafts) == 1:
        number = result.numbers[0]
        by = result.replaced.get(number)
        now = "" if by is None else f"; entry {by} holds in its place"
        return [f"Entry {number} says so already{now}. Nothing was changed."]
    lines = []
    for row in result.new:
        instead = f", instead of entry {row.corrects}" if row.corrects else ""
        lines.append(f"Entry {row.number}{instead}: {row.entry.text}")
        warnings = result.warnings.get(row.number, ())
        lines += [f"  WARNING: {one}" for one in warnings]
        lines += _rework_lines(row.entry, store)
    known = len(result.numbers) - len(new)
    if known:
        lines.append(f"{plural(known, 'row')} recorded before; nothing changed there.")
    if result.warnings:
        lines.append(_CAUTION)
    return lines or ["No entry in the file; nothing was changed."]


def _rework_lines(entry: FloorEntry, store: str) -> list[str]:
    """What a fail adds to the work of its boat."""
    from models.recording.rework import asks_for_rework
    from models.rework import rework_code

    if not asks_for_rework(entry):
        return []
    return [
        f"  '{rework_code(entry.operation)}' comes before the next result; the part "
        "stays where it is.",
        f"  Dates that this hits: {program()} plan {store}",
    ]


def _as_object(drafts: list[Draft], result: RecordResult) -> dict[str, Any]:
    new = {row.number for row in result.new}
    return {
        "entries": [
            {
                "number": number,
                "new": number in new,
                "text": draft.entry.text,
                "warnings": list(result.warnings.get(number, ())),
            }
            for draft, number in zip(drafts, result.numbers, strict=True)
        ]
    }
