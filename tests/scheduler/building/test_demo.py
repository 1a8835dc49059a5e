"""The demo yard becomes a problem that says what its files say."""

from __future__ import annotations

import csv
import json
from collections import Counter
from datetime import date
from functools import lru_cache
from pathlib import Path

from jsonschema import Draft202012Validator

import scheduler
from models.hours import operation_hours
from models.loading import load_book
from models.orders import Book
from scheduler.building.build import build_problem
from scheduler.plan_file import problem_from_json, problem_to_json
from scheduler.problem import Problem

DEMO = Path(scheduler.__file__).parent.parent / "demo_orders"
SCHEMA = Path(scheduler.__file__).parent / "plan_schema.json"


@lru_cache
def demo() -> tuple[Book, Problem]:
    """Load the demo yard and build its problem once."""
    book = load_book(DEMO)
    return book, build_problem(book)


def rows(name: str) -> list[dict[str, str]]:
    """Read one of the demo's tables as it stands."""
    with (DEMO / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_the_demos_problem_survives_the_plan_file_and_keeps_the_schema() -> None:
    """Written as JSON the problem follows the published schema and reads back alike."""
    _, problem = demo()
    data = json.loads(json.dumps(problem_to_json(problem)))
    schema = json.loads(SCHEMA.read_text(encoding="utf-8"))
    of_problem = {"$defs": schema["$defs"], **schema["properties"]["problem"]}
    errors = [
        f"{list(error.absolute_path)}: {error.message}"
        for error in Draft202012Validator(of_problem).iter_errors(data)
    ]
    assert errors == []
    assert problem_from_json(data) == problem


def test_every_row_in_hand_is_a_commitment() -> None:
    """Each row of the demo's work in hand binds its operation, to the minute."""
    _, problem = demo()
    given = {one.operation: one for one in problem.committed}
    table = rows("in_hand.csv")
    assert table
    for row in table:
        entry = given[f"{row['order']}/{row['operation']}"]
        assert entry.why == row["state"]
        assert problem.axis.iso(entry.start or 0)[:16] == row["started"]
        if row["finished"]:
            assert problem.axis.iso(entry.finish or 0)[:16] == row["finished"]
    remaining = {
        one.id: one.remaining_hours
        for one in problem.operations
        if one.remaining_hours is not None
    }
    assert remaining == {
        f"{row['order']}/{row['operation']}": float(row["remaining_hours"])
        for row in table
        if row["state"] == "started"
    }


def test_parts_in_molds_and_places_are_where_the_rows_say() -> None:
    """Every part that stands in a mold or place now stands in one that is named."""
    _, problem = demo()
    given = {one.operation: one for one in problem.committed if one.why != "locked"}
    named = {
        (row["order"], column, row[column])
        for row in rows("in_hand.csv")
        for column in ("mold", "place")
        if row[column]
    }
    held: Counter[str] = Counter()
    for part in problem.parts:
        for column, first, last in (
            ("mold", part.mold_from, part.mold_to),
            ("place", part.place_from, part.place_to),
        ):
            if first not in given or (last in given and given[last].why == "done"):
                continue
            name = given[first].mold if column == "mold" else given[first].place
            assert (part.order, column, name) in named
            held[name or ""] += 1
    capacity = {one.id: one.capacity for one in problem.places}
    assert held
    assert all(count <= capacity.get(name, 1) for name, count in held.items())


def test_pinned_work_is_pinned() -> None:
    """Each lock of the demo binds what it names."""
    _, problem = demo()
    given = {one.operation: one for one in problem.committed if one.why == "locked"}
    table = rows("locks.csv")
    assert len(given) == len(table)
    for row in table:
        entry = given[f"{row['order']}/{row['operation']}"]
        start = None if entry.start is None else problem.axis.iso(entry.start)[:16]
        assert start == (row["start"] or None)
        assert entry.mold == (row["mold"] or None)
        assert entry.people == tuple(filter(None, row["people"].split(";")))


def test_missing_items_keep_their_operations_waiting() -> None:
    """No operation of the demo starts before the items that it still lacks are due."""
    _, problem = demo()
    operations = {one.id: one for one in problem.operations}
    facts = {one.operation for one in problem.committed if one.why != "locked"}
    table = [row for row in rows("arrivals.csv") if not row["arrived"]]
    assert table
    for row in table:
        name = f"{row['order']}/{row['operation']}"
        day = date.fromisoformat(row["confirmed"] or row["expected"])
        if name not in facts:
            assert problem.axis.local(operations[name].earliest).date() >= day


def test_the_problem_has_the_hours_of_the_derivation() -> None:
    """Hours of the demo's operations are those that the derivation adds up to."""
    book, problem = demo()
    for order in book.orders:
        hours = operation_hours(book.models[order.model], order, book.yard)
        built = {
            one.code: one.labor_hours
            for one in problem.operations
            if one.order == order.order
        }
        assert built == hours


def test_every_order_and_its_waits_are_there() -> None:
    """Orders stand in the book's order, and their waits name their own operations."""
    book, problem = demo()
    names = [one.order for one in book.orders]
    assert [one.order for one in problem.orders] == names
    assert list(dict.fromkeys(one.order for one in problem.operations)) == names
    ids = {one.id: one.order for one in problem.operations}
    assert len(ids) == len(problem.operations)
    assert len({wait.id for wait in problem.waits}) == len(problem.waits)
    assert all(ids[wait.before] == ids[wait.after] for wait in problem.waits)


def test_next_weeks_orders_join_the_book() -> None:
    """The week's orders are built together with the book's own."""
    book = load_book(DEMO, [DEMO / "orders.csv", DEMO / "week" / "orders.csv"])
    problem = build_problem(book)
    before = [one.order for one in demo()[1].orders]
    week = [row["order"] for row in rows("week/orders.csv")]
    assert week
    assert [one.order for one in problem.orders] == before + week
