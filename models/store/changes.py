"""What loading would change: the yard, its models and its orders, item by item."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass
from datetime import date, datetime
from typing import Any

from models.orders import Arrival, InHand, Lock
from models.store.documents import Loaded, OrderRecord, YardRecord

ADDED, CHANGED, WITHDRAWN = "added", "changed", "withdrawn"
_MOST_TOLD = 3  # names of a list that are worth printing
_YARD_LISTS = {
    "calendars": "calendar",
    "skills": "skill",
    "stations": "station",
    "molds": "mold",
    "places": "place",
    "people": "person",
    "materials": "material",
    "limits": "limit",
    "overtime": "overtime",
}


@dataclass(frozen=True, slots=True)
class Change:
    """One item that would be added, changed or withdrawn.

    `kind` is order, model, yard, or one of the yard's own lists (person, mold ...).
    `details` says in words what is not the same.
    """

    kind: str
    id: str
    what: str  # added | changed | withdrawn
    details: tuple[str, ...] = ()


def changes_between(before: Loaded | None, after: Loaded) -> tuple[Change, ...]:
    """List what is not the same: the yard first, then models, then orders.

    `before` is None where nothing has been loaded yet. A `yard.toml` that has not
    changed a byte has not changed: without `as_of` the first day to be planned is
    always today, which is no news.
    """
    if before is None:
        yard = [Change("yard", after.yard.yard.name, ADDED)]
        models = _keyed("model", {}, after.yard.models, _nothing)
        orders = _keyed("order", {}, after.orders, _nothing)
        return (*yard, *models, *orders)
    file = "yard.toml"
    same_file = before.sources.get(file) == after.sources.get(file, "")
    yard = [] if same_file else list(_yard_changes(before.yard, after.yard))
    models = _keyed("model", before.yard.models, after.yard.models, _field_details)
    orders = _keyed("order", before.orders, after.orders, order_details)
    return (*yard, *models, *orders)


def of_yard(change: Change) -> bool:
    """Whether a change is of the yard or its models, not of an order."""
    return change.kind != "order"


def _keyed(
    kind: str,
    before: Mapping[str, Any],
    after: Mapping[str, Any],
    details: Callable[[Any, Any], Iterable[str]],
) -> Iterator[Change]:
    for name in sorted(before.keys() | after.keys()):
        if name not in before:
            yield Change(kind, name, ADDED)
        elif name not in after:
            yield Change(kind, name, WITHDRAWN)
        elif before[name] != after[name]:
            yield Change(kind, name, CHANGED, tuple(details(before[name], after[name])))


def _nothing(before: object, after: object) -> Iterator[str]:
    return iter(())


def _yard_changes(before: YardRecord, after: YardRecord) -> Iterator[Change]:
    one, other = before.yard, after.yard
    told: list[str] = []
    for entry in fields(one):
        mine, theirs = getattr(one, entry.name), getattr(other, entry.name)
        kind = _YARD_LISTS.get(entry.name)
        if kind is not None:
            old, new = ({row.id: row for row in rows} for rows in (mine, theirs))
            yield from _keyed(kind, old, new, _field_details)
        elif mine != theirs:
            told += _one_field(entry.name, mine, theirs)
    if told:
        yield Change("yard", other.name, CHANGED, tuple(told))


def order_details(before: OrderRecord, after: OrderRecord) -> Iterator[str]:
    """Say in words what of an order is not the same, one text an item."""
    yield from _field_details(before.order, after.order)
    if before.job is not None and after.job is not None:
        for name in ("kind", "mold", "place_kind", "steps"):
            mine, theirs = (getattr(one, name) for one in (before.job, after.job))
            if mine != theirs:
                yield from _one_field(name, mine, theirs)
    yield from _row_details("arrival of", before.arrivals, after.arrivals, _arrival)
    yield from _row_details("in hand", before.in_hand, after.in_hand, _step)
    yield from _row_details("lock of", before.locks, after.locks, _step)


def _arrival(row: Arrival) -> str:
    return f"{row.item} ({row.operation})"


def _step(row: InHand | Lock) -> str:
    return row.operation


def _row_details(
    noun: str,
    before: tuple[Any, ...],
    after: tuple[Any, ...],
    name: Callable[[Any], str],
) -> Iterator[str]:
    """Tell rows apart by name; of rows with one name, the last stands for all."""
    old = {name(row): row for row in before}
    new = {name(row): row for row in after}
    for change in _keyed(noun, old, new, _field_details):
        told = f": {'; '.join(change.details)}" if change.details else ""
        yield f"{noun} {change.id} {change.what}{told}"


def _field_details(before: Any, after: Any) -> Iterator[str]:
    for entry in fields(before):
        mine, theirs = getattr(before, entry.name), getattr(after, entry.name)
        if mine != theirs:
            yield from _one_field(entry.name, mine, theirs)


def _one_field(name: str, before: Any, after: Any) -> Iterator[str]:
    words = name.replace("_", " ")
    if isinstance(before, dict) and isinstance(after, dict):
        for key in sorted(before.keys() | after.keys()):
            if before.get(key) != after.get(key):
                yield f"{key}: {_told(before.get(key))} → {_told(after.get(key))}"
    elif _is_rows(before) or _is_rows(after):
        old, new = (_named(rows) for rows in (before, after))
        names = [key for key in old | new if old.get(key) != new.get(key)]
        most = ", ".join(names[:_MOST_TOLD])
        rest = f" and {len(names) - _MOST_TOLD} more" if len(names) > _MOST_TOLD else ""
        yield f"{words}: {most}{rest}" if names else f"{words} in another order"
    else:
        yield f"{words}: {_told(before)} → {_told(after)}"


def _is_rows(value: Any) -> bool:
    return isinstance(value, tuple) and any(is_dataclass(one) for one in value)


def _named(rows: Any) -> dict[str, Any]:
    """Rows by what names them, numbered where nothing does."""
    out: dict[str, Any] = {}
    for number, row in enumerate(rows, start=1):
        name = getattr(row, "id", None) or getattr(row, "code", None)
        if name is None and hasattr(row, "before"):
            kind = f"{row.kind} " if hasattr(row, "kind") else ""
            name = f"{kind}{row.before} to {row.after}"
        out[str(name or number)] = row
    return out


def _told(value: Any) -> str:
    if isinstance(value, (set, frozenset)):
        value = tuple(sorted(value))
    if isinstance(value, tuple):
        return ", ".join(_told(one) for one in value) or "none"
    if is_dataclass(value):
        told = (getattr(value, entry.name) for entry in fields(value))
        return ", ".join(_told(one) for one in told)
    if isinstance(value, datetime):
        return value.isoformat(timespec="minutes")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, float):
        return f"{value:g}"
    return "none" if value is None or value == "" else str(value)
