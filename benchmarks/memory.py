"""The cost of 400 boats with a year of actuals: `python -m benchmarks.memory`.

A book of `hullpace sample` that keeps the yard busy for longer than a year is loaded,
planned and published. The floor then records twelve months of it, one CSV file a month:
every step begins and ends as planned, with invented hours around the standard, gates
that pass, and the conditions that data sheets ask for. Then the store is opened as the
commands do it; times are without the start of Python.

The folder is kept: `--again` records the same files into a new store, to compare before
and after a change.
"""

from __future__ import annotations

import argparse
import csv
import random
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from models.loading import load_book
from models.loading.floor_entries import read_floor_entries
from models.orders import Book
from models.recording.conditions import QUANTITIES, sheets_of
from models.routing import route
from models.sample import write_sample
from models.store.changes import changes_between
from models.store.documents import from_book
from models.store.loads import current, load, with_changed_work
from models.store.log import Author
from models.store.plans import newest, publish
from models.store.records import record
from models.store.transactions import open_store, read
from scheduler.plan_file import read_json
from scheduler.replanning import recall_all

MONTHS = 12
COLUMNS = (
    "order", "operation", "what", "at", "hours", "people", "mold", "place", "result",
    "batch", *(name for name, _, _ in QUANTITIES),
)  # fmt: skip
TURNS = ("finish", "gate", "start")  # of entries of the same minute
Row = dict[str, Any]


@contextmanager
def lap(what: str) -> Iterator[None]:
    """Print how long something took."""
    began = time.perf_counter()
    yield
    print(f"{what:52} {time.perf_counter() - began:7.2f} s", flush=True)


def make_plan_file(folder: Path, boats: int, scale: float, seconds: int) -> Path:
    """Write a book and its plan unless they are there."""
    path = folder / "plan.json"
    if not (folder / "yard" / "yard.toml").exists():
        write_sample(
            folder / "yard", Path("demo_orders"), boats, 1, 1.0, scale, None, ()
        )
    if not path.exists():
        run("plan", "--yard", folder / "yard", "--seconds", seconds, "--out", folder)
    return path


def run(*words: object) -> None:
    """Run a command of the program and print how long it took, Python included."""
    command = [sys.executable, "-m", "scheduler", *map(str, words)]
    with lap(f"hullpace {words[0]}, as a command"):
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL)


def year_of(document: Mapping[str, Any], book: Book) -> list[list[Row]]:
    """Invent what the floor says in each month from the start of a plan."""
    draw = random.Random(1)
    zone = ZoneInfo(document["problem"]["time_zone"])
    begin = local(document["problem"]["now"], zone)
    given = {one["operation"] for one in document["problem"]["committed"]}
    hours = {one["id"]: one["labor_hours"] for one in document["problem"]["operations"]}
    gates, asked = set(), {}
    for order in book.orders:
        steps = route(book.models[order.model], order).operations
        gates |= {(order.order, one.code) for one in steps if one.step.gate is not None}
        sheets = sheets_of(book, order.order)
        asked |= {(order.order, code): rows for code, rows in sheets.items()}
    months: list[list[Row]] = [[] for _ in range(MONTHS)]
    for one in document["answer"]["operations"]:
        if one["id"] in given:
            continue
        order, code = one["id"].split("/", 1)
        step = {"order": order, "operation": code}
        start, finish = (local(one[name], zone) for name in ("start", "finish"))
        begun = {**step, "what": "start", "at": start, **held(one)}
        for sheet in asked.get((order, code), ()):
            begun |= conditions(sheet)
        worked = round(hours[one["id"]] * draw.lognormvariate(0.0, 0.2), 2) or ""
        rows = [begun, {**step, "what": "finish", "at": finish, "hours": worked}]
        if (order, code) in gates:
            rows.append({**step, "what": "gate", "at": finish, "result": "pass"})
        for row in rows:
            month = (row["at"] - begin) // timedelta(days=365 / 12)
            if month < MONTHS:
                months[month].append(row)
    for found in months:
        found.sort(key=lambda row: (row["at"], TURNS.index(row["what"])))
    return months


def local(text: str, zone: ZoneInfo) -> datetime:
    """An instant of a plan file as the floor's clock shows it."""
    return datetime.fromisoformat(text).astimezone(zone).replace(tzinfo=None)


def held(planned: Mapping[str, Any]) -> Row:
    """Where the part of a planned operation is."""
    return {name: planned[name] for name in ("mold", "place") if planned.get(name)}


def conditions(sheet: object) -> Row:
    """The middle of every range that a data sheet states, and a batch."""
    ranges = {name: getattr(sheet, name) for name, _, _ in QUANTITIES}
    middle = {name: sum(one) / 2 for name, one in ranges.items() if one is not None}
    return {**middle, "batch": "L-1"}


def write_months(folder: Path, months: Sequence[Sequence[Row]]) -> list[Path]:
    """Write one CSV file a month."""
    paths = []
    for number, rows in enumerate(months, 1):
        paths.append(folder / f"month-{number:02}.csv")
        with paths[-1].open("w", newline="", encoding="utf-8") as file:
            writer = csv.DictWriter(file, COLUMNS, restval="")
            writer.writeheader()
            for row in rows:
                writer.writerow({**row, "at": row["at"].isoformat(timespec="minutes")})
    return paths


def record_year(address: str, plan: Path, book: Book, files: Sequence[Path]) -> None:
    """Load, publish and record into a new store."""
    document = read_json(plan)
    now = datetime.fromisoformat(document["problem"]["now"]).astimezone(UTC)
    store = open_store(address, create=True)
    with lap("load"):
        load(store, from_book(book), Author("bench", now), None)
    with lap("publish"):
        publish(store, document, Author("bench", now), None)
    for number, path in enumerate(files, 1):
        author = Author("bench", now + timedelta(days=31 * number))
        with lap(f"record {path.name}"):
            new = len(record(store, read_floor_entries(path), author).new)
        print(f"    {new} entries", flush=True)


def measure(address: str, folder: Path, book: Book) -> None:
    """Open the store as commands do."""
    with lap("open the store"):
        store = open_store(address)
    with lap("read the book and which plan is published"):
        state = current(store)
        read(store, newest)
    with lap("compare the files with it, as `load --dry-run`"):
        changes = changes_between(
            state.loaded, with_changed_work(state.loaded, from_book(book))
        )
    assert not changes
    with lap("read all that a new plan needs"):
        memory = recall_all(store)
    print(f"    {memory.entries} entries; planned from {memory.book.yard.as_of}")
    run("load", "--dry-run", "--yard", folder / "yard", "--store", address)
    run("plan", "--store", address, "--seconds", 30, "--out", folder / "again")


def main() -> None:
    """Make what is not there yet, then measure."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks.memory")
    parser.add_argument("--boats", type=int, default=400)
    parser.add_argument("--scale", type=float, default=10.0)
    parser.add_argument("--seconds", type=int, default=20, help="for the first plan")
    parser.add_argument("--out", type=Path, default=Path("build/memory"))
    parser.add_argument("--again", action="store_true", help="record into a new store")
    args = parser.parse_args()
    plan = make_plan_file(args.out, args.boats, args.scale, args.seconds)
    book = load_book(args.out / "yard")
    files = sorted(args.out.glob("month-*.csv"))
    if not files:
        files = write_months(args.out, year_of(read_json(plan), book))
    database = args.out / "yard.db"
    if args.again:
        database.unlink(missing_ok=True)
    if not database.exists():
        record_year(str(database), plan, book, files)
    counts = Counter(one.order for one in book.orders)
    print(f"{len(counts)} boats, {database.stat().st_size / 1e6:.0f} MB")
    measure(str(database), args.out, book)


if __name__ == "__main__":
    main()
