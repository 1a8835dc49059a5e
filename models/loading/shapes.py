"""Turning what pydantic finds into faults, and saving what can still be checked.

Unknown keys are dropped and whole table entries that are wrong are left out, so that
the cross checks can go on and a user gets every fault in one go. What was left out is
remembered: checks that would blame its absence are skipped.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Generic, TypeVar, get_args

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from models.loading.faults import FaultLog, listed, one_of, quoted
from models.loading.fields import Wrong

NOT_PLANNED_YET = {
    "other_jobs": "jobs other than boats",
}
_KINDS = {
    "string_type": "a text",
    "int_type": "a whole number",
    "int_from_float": "a whole number",
    "float_type": "a number",
    "bool_type": "true or false",
    "list_type": "a list",
    "dict_type": "a table of keys",
    "model_type": "a table of keys",
    "model_attributes_type": "a table of keys",
    "finite_number": "a number that is finite",
}
_KEYS = ("id", "code", "order", "operation", "name", "text")

Shape = TypeVar("Shape", bound=BaseModel)


@dataclass(frozen=True, slots=True)
class Loaded(Generic[Shape]):
    """What could be read: `broken` names the tables that miss an entry."""

    value: Shape
    broken: frozenset[str]
    left_out: Mapping[str, frozenset[str]]  # table -> ids of the entries left out


def shape(
    schema: type[Shape], raw: dict[str, Any], file: str, log: FaultLog
) -> Loaded[Shape] | None:
    """Validate one file's content; None where too little is left to go on with."""
    try:
        return Loaded(schema.model_validate(raw), frozenset(), {})
    except ValidationError as error:
        details = error.errors(include_url=False)
    report(schema, raw, details, file, log)
    saved, left_out = _saved(raw, details)
    try:
        value = schema.model_validate(saved)
    except ValidationError:
        return None
    ids = {table: frozenset(names) for table, names in left_out.items()}
    return Loaded(value, frozenset(ids), ids)


def report(
    schema: type[BaseModel],
    raw: dict[str, Any],
    details: Sequence[ErrorDetails],
    file: str,
    log: FaultLog,
    prefix: str = "",
) -> None:
    """Note a fault for each thing that pydantic found."""
    for detail in details:
        where = prefix + place(raw, detail["loc"][:1] if prefix else detail["loc"])
        found, expected = _sentence(schema, detail)
        log.add(file, where or "file", found, expected)


def place(raw: object, loc: Sequence[int | str]) -> str:
    """Name a place by keys and by the ids of list entries: `people.LM-01.skills`."""
    parts: list[str] = []
    at: Any = raw
    for step in loc:
        if isinstance(step, int):
            entries = at if isinstance(at, list) else []
            at = entries[step] if step < len(entries) else None
            parts.append(_entry_name(entries, step))
        elif isinstance(at, dict):
            at = at.get(step)
            parts.append(step)
    return ".".join(parts)


def _entry_name(entries: Sequence[object], place: int) -> str:
    """The name of an entry; with its number where several have the same name."""
    name = entry_id(entries[place]) if place < len(entries) else None
    if name is None:
        return str(place + 1)
    alike = sum(entry_id(one) == name for one in entries)
    return name if alike == 1 else f"{name} (entry {place + 1})"


def entry_id(entry: object) -> str | None:
    """Give the name by which a user knows a list's entry."""
    if not isinstance(entry, dict):
        return None
    names = (entry.get(key) for key in _KEYS)
    name = next((name for name in names if isinstance(name, str) and name), None)
    if name is None and isinstance(entry.get("before"), str):
        return f"{entry['before']} to {entry.get('after', 'nothing')}"
    return name


def _sentence(schema: type[BaseModel], detail: ErrorDetails) -> tuple[str, str]:
    kind, found = detail["type"], detail["input"]
    context = detail.get("ctx", {})
    if kind == "missing":
        return "nothing", "a value (this key is required)"
    if kind == "extra_forbidden":
        return _unknown_key(schema, detail)
    if kind == "value_error":
        error = context["error"]
        said = error.found if isinstance(error, Wrong) else _value(found)
        return said, str(error)
    if kind in ("literal_error", "enum"):
        return _value(found), str(context["expected"])
    if kind in _KINDS:
        return _value(found), _KINDS[kind]
    for bound, words in (("gt", "more than"), ("ge", "at least")):
        if bound in context:
            return _value(found), f"{words} {context[bound]:g}"
    for bound, words in (("lt", "less than"), ("le", "at most")):
        if bound in context:
            return _value(found), f"{words} {context[bound]:g}"
    if kind == "too_short":
        return "an empty list" if not found else _value(found), "at least one entry"
    return _value(found), detail["msg"][:1].lower() + detail["msg"][1:]


def _value(found: object) -> str:
    if isinstance(found, dict):
        return quoted(entry_id(found) or "a table")
    if isinstance(found, list):
        return f"[{', '.join(map(quoted, found))}]" if found else "an empty list"
    return quoted(found)


def _unknown_key(schema: type[BaseModel], detail: ErrorDetails) -> tuple[str, str]:
    key = str(detail["loc"][-1])
    if key in NOT_PLANNED_YET:
        topic = NOT_PLANNED_YET[key]
        return f"'{key}'", f"no such key: not planned yet ({topic})"
    keys = _keys(schema, detail["loc"][:-1])
    expected = one_of(key, keys, "a known key")
    return f"unknown key '{key}'", expected if keys else f"a key of {listed(keys)}"


def _keys(schema: type[BaseModel], loc: Sequence[int | str]) -> set[str]:
    """Keys that are known at a place of a schema."""
    at: type[BaseModel] = schema
    for step in loc:
        if isinstance(step, str) and step in at.model_fields:
            inner = _inner(at.model_fields[step].annotation)
            if inner is None:
                return set()
            at = inner
    return set(at.model_fields)


def _inner(annotation: object) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    found = (_inner(argument) for argument in get_args(annotation))
    return next((inner for inner in found if inner is not None), None)


def _saved(
    raw: dict[str, Any], details: Sequence[ErrorDetails]
) -> tuple[dict[str, Any], dict[str, set[str]]]:
    """Copy the content without unknown keys and without entries that are wrong."""
    unknown = [d["loc"] for d in details if d["type"] == "extra_forbidden"]
    wrong = [d["loc"] for d in details if d["type"] != "extra_forbidden"]
    entries = {(loc[0], loc[1]) for loc in wrong if len(loc) > 1}
    left_out: dict[str, set[str]] = {}
    for table, index in entries:
        entry = _child(_child(raw, table), index)
        name = entry_id(entry) or (index if isinstance(index, str) else "")
        left_out.setdefault(str(table), set()).add(name)
    saved = {
        key: _without(value, (key,), set(unknown), entries)
        for key, value in raw.items()
        if (key,) not in unknown
    }
    return saved, left_out


def _child(at: object, step: int | str) -> object:
    if isinstance(at, list) and isinstance(step, int):
        return at[step]
    return at.get(str(step)) if isinstance(at, dict) else None


def _without(
    value: Any,
    at: tuple[int | str, ...],
    unknown: set[tuple[int | str, ...]],
    entries: set[tuple[int | str, int | str]],
) -> Any:
    if isinstance(value, list):
        return [
            _without(inner, (*at, index), unknown, entries)
            for index, inner in enumerate(value)
            if (*at, index) not in entries
        ]
    if isinstance(value, dict):
        return {
            key: _without(inner, (*at, key), unknown, entries)
            for key, inner in value.items()
            if (*at, key) not in unknown and (*at, key) not in entries
        }
    return value
