"""Reading and writing `plan.json` (schema `hullpace-plan/1`).

The file has two blocks, `problem` and `answer`, so that a plan can be checked without
the program that made it. Instants are ISO 8601 with the yard's offset.
"""

from __future__ import annotations

import json
import os
import tempfile
from collections.abc import Sequence
from dataclasses import fields, replace
from datetime import UTC, datetime
from itertools import islice
from operator import attrgetter
from pathlib import Path
from typing import Any

from models.axis import Axis
from models.errors import UsageError
from scheduler import plan as answers
from scheduler import problem as problems
from scheduler.plan import Answer, Plan
from scheduler.problem import Problem, Span

SCHEMA = "hullpace-plan/1"


def plan_to_json(plan: Plan) -> dict[str, Any]:
    """Turn a plan into the objects of the file."""
    return {
        "schema": SCHEMA,
        "created": plan.created,
        "versions": plan.versions,
        "seed": plan.seed,
        "budget": plan.budget,
        "inputs": plan.inputs,
        "method": plan.method,
        "problem": problem_to_json(plan.problem),
        "answer": answer_to_json(plan.answer, plan.problem.axis),
    }


def plan_from_json(data: dict[str, Any]) -> Plan:
    """Rebuild a plan from the objects of the file.

    Raises
    ------
    UsageError
        If the file is not of this schema.
    """
    if data.get("schema") != SCHEMA:
        raise UsageError(
            f"not a plan file: schema {data.get('schema')!r}, not {SCHEMA}"
        )
    problem = problem_from_json(data["problem"])
    return Plan(
        problem=problem,
        answer=answer_from_json(data["answer"], problem.axis),
        created=data["created"],
        versions=data["versions"],
        seed=data["seed"],
        budget=data["budget"],
        inputs=data["inputs"],
        method=data["method"],
    )


def write_plan(plan: Plan, path: Path) -> dict[str, Any]:
    """Write a plan file whole or not at all (a temporary file, then a rename).

    Gives the objects of the file: of a large book they take seconds to make.
    """
    document = plan_to_json(plan)
    write_text(text_of(document), path)
    return document


def text_of(document: dict[str, Any]) -> str:
    """The text of a plan file, a row a line, so that files compare line by line."""
    pieces = []
    for name, value in document.items():
        block = json.dumps(value)
        if name in ("problem", "answer"):
            inner = [
                f"  {json.dumps(key)}: {_rows(rows)}" for key, rows in value.items()
            ]
            block = "{\n" + ",\n".join(inner) + "\n }"
        pieces.append(f" {json.dumps(name)}: {block}")
    return "{\n" + ",\n".join(pieces) + "\n}\n"


def _rows(value: Any) -> str:
    if not isinstance(value, list) or not value:
        return json.dumps(value)
    return "[\n" + ",\n".join(f"   {json.dumps(one)}" for one in value) + "\n  ]"


def write_text(text: str, path: Path) -> None:
    """Write a text file whole or not at all."""
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=path.name, suffix=".part")
    try:
        # Line ends stay as they are, whatever the system's own are.
        with os.fdopen(handle, "w", encoding="utf-8", newline="") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        Path(name).replace(path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


def read_plan(path: Path) -> Plan:
    """Read a plan file.

    Raises
    ------
    UsageError
        If there is no such file or it is not a plan.
    """
    return plan_from_json(read_json(path))


def read_json(path: Path) -> dict[str, Any]:
    """Read a plan file as plain objects; raises UsageError as `read_plan`."""
    try:
        data = json.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        raise UsageError(
            f"no plan at {path}: make one with `hullpace plan --out {path.parent}`"
        ) from None
    except (OSError, ValueError) as error:
        raise UsageError(f"{path} is not a plan file: {error}") from None
    if not isinstance(data, dict):
        raise UsageError(f"{path} is not a plan file: it holds no object")
    return data


# Field names of the file that differ from those of the data, and which fields hold
# instants or spans; everything else is written as it stands.
_RENAMED = {
    "Stint": {"person": "id", "start": "from", "finish": "to"},
    "Planned": {"operation": "id"},
    "Occupation": {"start": "from", "finish": "to"},
    "Service": {"start": "from", "finish": "to"},
    "Overtime": {"window": "id", "start": "from", "finish": "to"},
    "Setup": {"before": "from", "after": "to"},
    "Move": {"before": "from", "after": "to"},
}
_INSTANTS = {
    "Order": {"release"},
    "Operation": {"earliest"},
    "Committed": {"start", "finish"},
    "Published": {"start"},
    "Stint": {"start", "finish"},
    "Planned": {"start", "finish"},
    "Occupation": {"start", "finish"},
    "Service": {"start", "finish"},
    "Overtime": {"start", "finish"},
    "OrderResult": {"finish"},
    "Move": {"before", "after"},
}
_NESTED: dict[tuple[str, str], Any] = {
    ("Planned", "people"): problems.Stint,
    ("Committed", "stints"): problems.Stint,
    ("Service", "people"): problems.Stint,
    ("Station", "setups"): problems.Setup,
}
_SPANS = {"open", "breaks", "available", "unavailable", "segments"}
_WINDOW = ("OvertimeWindow", "window")


def problem_to_json(problem: Problem) -> dict[str, Any]:
    """Turn a problem into the objects of the file.

    People of the same hours hold one list of them: a yard of hundreds has few.
    """
    axis = problem.axis
    out: dict[str, Any] = {
        "time_zone": axis.zone_name,
        "tick_minutes": axis.tick_minutes,
        "start": axis.iso(0),
        "end": axis.iso(axis.ticks),
        "now": axis.iso(problem.now),
        "week_start": problem.week_start,
        "delivery_calendar": problem.delivery_calendar,
        "frozen_until": axis.iso(problem.frozen_until),
        "buffer_days": problem.buffer_days,
    }
    for name in _LISTS:
        rows = getattr(problem, name)
        if name == "people":
            out[name] = _people_to_json(rows, axis)
        else:
            out[name] = _rows_to_json(rows, axis)
    [out["objective"]] = _rows_to_json([problem.objective], axis)
    return out


def _people_to_json(people: Sequence[problems.Person], axis: Axis) -> list[Any]:
    """People; those of the same hours hold one list of them, as many do."""
    hours = {one.available for one in people}
    shared = {spans: _spans_to_json(spans, axis) for spans in hours}
    bare = _rows_to_json([replace(one, available=()) for one in people], axis)
    return [
        row | {"available": shared[one.available]}
        for row, one in zip(bare, people, strict=True)
    ]


def problem_from_json(data: dict[str, Any]) -> Problem:
    """Rebuild a problem from the objects of the file."""
    start = datetime.fromisoformat(data["start"]).astimezone(UTC)
    axis = Axis(start, data["tick_minutes"], 0, data["time_zone"])
    ticks = axis.tick_of_iso(data["end"])
    axis = Axis(start, axis.tick_minutes, ticks, axis.zone_name)
    lists = {
        name: tuple(_from_json(kind, item, axis) for item in data[name])
        for name, kind in _LISTS.items()
    }
    return Problem(
        axis=axis,
        now=axis.tick_of_iso(data["now"]),
        week_start=data["week_start"],
        delivery_calendar=data["delivery_calendar"],
        frozen_until=axis.tick_of_iso(data["frozen_until"]),
        buffer_days=data["buffer_days"],
        objective=_from_json(problems.Objective, data["objective"], axis),
        **lists,
    )


def answer_to_json(answer: Answer, axis: Axis) -> dict[str, Any]:
    """Turn an answer into the objects of the file."""
    return {
        "operations": _rows_to_json(answer.operations, axis),
        "occupations": _rows_to_json(answer.occupations, axis),
        "overtime": _rows_to_json(answer.overtime, axis),
        "services": _rows_to_json(answer.services, axis),
        "moves": _rows_to_json(answer.moves, axis),
        "orders": _rows_to_json(answer.orders, axis),
        "levels": _rows_to_json(answer.levels, axis),
    }


def answer_from_json(data: dict[str, Any], axis: Axis) -> Answer:
    """Rebuild an answer from the objects of the file."""

    def read(kind: Any, name: str) -> Any:
        return tuple(_from_json(kind, item, axis) for item in data[name])

    return Answer(
        operations=read(answers.Planned, "operations"),
        occupations=read(answers.Occupation, "occupations"),
        orders=read(answers.OrderResult, "orders"),
        levels=read(answers.Level, "levels"),
        moves=read(answers.Move, "moves"),
        services=read(problems.Service, "services"),
        overtime=read(answers.Overtime, "overtime"),
    )


_LISTS: dict[str, Any] = {
    "calendars": problems.Calendar,
    "overtime": problems.OvertimeWindow,
    "overtime_limits": problems.OvertimeLimit,
    "temperature": problems.Temperature,
    "people": problems.Person,
    "molds": problems.Mold,
    "places": problems.Place,
    "stations": problems.Station,
    "limits": problems.Limit,
    "orders": problems.Order,
    "parts": problems.Part,
    "operations": problems.Operation,
    "waits": problems.Wait,
    "committed": problems.Committed,
    "published": problems.Published,
    "services": problems.Service,
}


def _spans_to_json(spans: tuple[Span, ...], axis: Axis) -> list[list[str]]:
    return [[axis.iso(start), axis.iso(end)] for start, end in spans]


_FORMS: dict[str, list[tuple[str, str, str]]] = {}


def _rows_to_json(rows: Sequence[Any], axis: Axis) -> list[Any]:
    """Objects of one kind, field by field: a plan has a hundred thousand of them."""
    if not rows:
        return []
    forms = _forms(type(rows[0]))
    columns = [
        _column(list(map(attrgetter(one), rows)), form, axis) for one, _, form in forms
    ]
    names = [name for _, name, _ in forms]
    return [
        dict(zip(names, values, strict=True)) for values in zip(*columns, strict=True)
    ]


def _column(values: list[Any], form: str, axis: Axis) -> list[Any]:
    """One field of all rows as the file has it."""
    iso = axis.iso
    if form == "plain":
        return [list(one) if isinstance(one, tuple) else one for one in values]
    if form == "spans":
        return [_spans_to_json(one, axis) for one in values]
    if form == "span":
        return [[iso(start), iso(end)] for start, end in values]
    if form == "instant":
        return [None if one is None else iso(one) for one in values]
    if form == "demands":
        return [
            [{"resource": key, "amount": count} for key, count in one] for one in values
        ]
    inner = iter(_rows_to_json([one for row in values for one in row], axis))
    return [list(islice(inner, len(row))) for row in values]


def _forms(row: Any) -> list[tuple[str, str, str]]:
    """For each field of a row: its name here, its name in the file, its form there."""
    kind = row.__name__
    if kind in _FORMS:
        return _FORMS[kind]
    renamed = _RENAMED.get(kind, {})
    instants = _INSTANTS.get(kind, set())
    forms = _FORMS[kind] = []
    for entry in fields(row):
        form = "plain"
        if entry.name in _SPANS:
            form = "spans"
        elif (kind, entry.name) == _WINDOW:
            form = "span"
        elif entry.name in instants:
            form = "instant"
        elif entry.name == "demands":
            form = "demands"
        elif (kind, entry.name) in _NESTED:
            form = "rows"
        forms.append((entry.name, renamed.get(entry.name, entry.name), form))
    return forms


def _from_json(kind: Any, data: dict[str, Any], axis: Axis) -> Any:
    tick = axis.tick_of_iso
    values: dict[str, Any] = {}
    for field, name, form in _forms(kind):
        value = data[name]
        if form == "plain":
            value = tuple(value) if isinstance(value, list) else value
        elif form == "spans":
            value = tuple([(tick(a), tick(b)) for a, b in value])
        elif form == "span":
            value = tick(value[0]), tick(value[1])
        elif form == "instant":
            value = None if value is None else tick(value)
        elif form == "demands":
            value = tuple((one["resource"], one["amount"]) for one in value)
        else:
            inner = _NESTED[kind.__name__, field]
            value = tuple(_from_json(inner, one, axis) for one in value)
        values[field] = value
    return kind(**values)
