"""Checks of `in_hand.csv`: what is done and begun must be possible together."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from datetime import datetime, time
from zoneinfo import ZoneInfo

from models.axis import local_instant
from models.boat import BoatModel, Part, RoutingWait
from models.loading.checks.floor import Floor, check_mold, check_people, known_rows
from models.loading.csv import Read, Table
from models.loading.faults import one_of, quoted
from models.loading.orders import InHandRow
from models.reprep import kept_maximum_hours

Line = Read[InHandRow]
Begun = Mapping[str, Line]  # by operation, of one order


def check_in_hand(table: Table[InHandRow], floor: Floor) -> dict[tuple[str, str], str]:
    """Check work in hand; give the state of what has begun.

    What an order's rows say together is checked where all of them can be read.
    """
    for line in table.good:
        _check_times(line, floor)
    known = known_rows(table.good, floor, lambda row: (row.order, row.operation))
    by_order: dict[str, dict[str, Line]] = {}
    for line in known:
        by_order.setdefault(line.value.order, {})[line.value.operation] = line
        _check_resources(line, floor)
    rows = Counter(line.value.order for line in table.good)
    faulty = {row.get("order") for row in table.bad}
    sure = {
        order: begun
        for order, begun in by_order.items()
        if len(begun) == rows[order] and order not in faulty
    }
    for order, begun in sure.items():
        for wait in floor.routings[order].waits:
            _check_wait(wait, begun, floor)
    _check_holds(sure, floor)
    return {
        (line.value.order, line.value.operation): line.value.state
        for line in table.good
    }


def _check_times(line: Line, floor: Floor) -> None:
    row = line.value
    now = datetime.combine(floor.yard.yard.as_of, time(0))
    past = f"a time before {now:%Y-%m-%d}, the first day planned"
    if row.started >= now:
        floor.fault(line, "started", f"{row.started:%Y-%m-%d %H:%M}", past)
    if row.state == "done":
        if row.finished is None:
            floor.fault(line, "finished", "nothing", "a time, as it is done")
        elif row.finished < row.started:
            found = f"{row.finished:%Y-%m-%d %H:%M}"
            expected = f"a time from its start ({row.started:%Y-%m-%d %H:%M}) on"
            floor.fault(line, "finished", found, expected)
        elif row.finished > now:
            floor.fault(line, "finished", f"{row.finished:%Y-%m-%d %H:%M}", past)
        if row.remaining_hours:
            found = f"{row.remaining_hours:g}"
            floor.fault(line, "remaining_hours", found, "nothing, as it is done")
        return
    if row.finished is not None:
        found = f"{row.finished:%Y-%m-%d %H:%M}"
        floor.fault(line, "finished", found, "nothing, as it is not done")
    if _is_outside(row, floor):
        if row.remaining_hours is not None:
            expected = "nothing, as a supplier's lead counts from the start"
            found = f"{row.remaining_hours:g}"
            floor.fault(line, "remaining_hours", found, expected)
    elif row.remaining_hours is None:
        expected = "the labor hours that remain"
        floor.fault(line, "remaining_hours", "nothing", expected)
    elif row.remaining_hours == 0:
        floor.fault(line, "remaining_hours", "0", "more than 0, or the state done")


def _is_outside(row: InHandRow, floor: Floor) -> bool:
    model = floor.models.get(row.order)
    steps = model.operations if model else ()
    return any(one.code == row.operation and one.lead_days for one in steps)


def _check_resources(line: Line, floor: Floor) -> None:
    row = line.value
    step = floor.step(row.order, row.operation)
    assert step is not None
    check_people(line, row.people, step, floor)
    model = floor.models[row.order]
    if row.mold is not None:
        parts = [one.id for one in model.parts if one.id in step.parts and one.mold_to]
        if parts:
            check_mold(line, row.mold, parts, floor)
        else:
            expected = "nothing, as none of its parts is molded"
            floor.fault(line, "mold", quoted(row.mold), expected)
    if row.place is not None:
        kinds = {one.place_kind for one in model.parts if one.place_kind}
        _check_place(line, row.place, kinds, floor)


def _check_place(line: Line, place: str, kinds: set[str], floor: Floor) -> None:
    model = floor.models[line.value.order].id
    places = floor.yard.yard.places
    names = floor.yard.known("places", (one.id for one in places))
    fitting = {
        one.id
        for one in places
        if one.kind in kinds and (not one.models or model in one.models)
    }
    if place not in names:
        expected = one_of(place, fitting or names, "a place of the yard")
        floor.fault(line, "place", quoted(place), expected)
    elif place not in fitting and floor.yard.whole("places"):
        expected = one_of(place, fitting, "a place that takes this part")
        floor.fault(line, "place", quoted(place), expected)


def _happened(line: Line | None, which: str) -> datetime | None:
    """Give when an operation started or ended, or None if it has not."""
    if line is None:
        return None
    return line.value.started if which == "start" else line.value.finished


def _check_wait(wait: RoutingWait, begun: Begun, floor: Floor) -> None:
    after = begun.get(wait.after)
    reached = _happened(after, wait.after_of)
    if after is None or reached is None:
        return
    left = _happened(begun.get(wait.before), wait.before_of)
    if left is None:
        state = "begun" if wait.before_of == "start" else "done"
        floor.fault(
            after,
            "operation",
            f"'{wait.after}' {after.value.state} before '{wait.before}' is {state}",
            f"'{wait.before}' {state} first, as the routing says",
        )
        return
    if after.value.state == "done" or wait.clock != "wall":
        return
    zone = floor.yard.yard.time_zone
    apart = _hours_between(left, reached, zone)
    found = f"{apart:g} h after '{wait.before}'"
    if apart < wait.min_hours:
        expected = f"at least {wait.min_hours:g} h ({wait.kind})"
        floor.fault(after, "started", found, expected)
    elif (most := kept_maximum_hours(wait)) is not None and apart > most:
        expected = f"at most {most:g} h ({wait.kind})"
        floor.fault(after, "started", found, expected)


def _hours_between(first: datetime, last: datetime, zone_name: str) -> float:
    zone = ZoneInfo(zone_name)
    start = local_instant(first.date(), first.time(), zone)
    end = local_instant(last.date(), last.time(), zone)
    return (end - start).total_seconds() / 3600


def _check_holds(by_order: Mapping[str, Begun], floor: Floor) -> None:
    """Check that each mold and place held now is named once, and has the room."""
    holders: dict[tuple[str, str], list[str]] = {}
    for order, begun in by_order.items():
        for part in floor.models[order].parts:
            for column in ("mold", "place"):
                line = _holding(part, column, begun)
                name = None if line is None else _held(part, column, line, begun, floor)
                if line is None or name is None:
                    continue
                held = holders.setdefault((column, name), [])
                held.append(order)
                if len(held) > _room(column, name, floor):
                    found = f"'{name}', which {', '.join(held[:-1])} holds"
                    expected = f"a {column} that is free"
                    floor.fault(line, column, found, expected)


def _held(
    part: Part, column: str, line: Line, begun: Begun, floor: Floor
) -> str | None:
    """Give the mold or place that a part is in, from any of its order's rows.

    Where only one fits it need not be named.
    """
    fitting = _fitting(part, column, floor.models[line.value.order], floor)
    rows = (line.value, *(other.value for other in begun.values()))
    given = [row.mold if column == "mold" else row.place for row in rows]
    named = list(dict.fromkeys(name for name in given if name in fitting))
    kinds = [one.place_kind for one in floor.models[line.value.order].parts]
    if len(named) > 1 and (column == "mold" or kinds.count(part.place_kind) == 1):
        found = f"{' and '.join(map(quoted, named))} for one {part.id}"
        floor.fault(line, column, found, f"the one {column} that it is in")
    if named or len(fitting) == 1:
        return [*named, *fitting][0]
    if floor.yard.whole("molds", "places"):
        floor.fault(line, column, "nothing", f"the {column} that its {part.id} is in")
    return None


def _fitting(part: Part, column: str, model: BoatModel, floor: Floor) -> list[str]:
    yard = floor.yard.yard
    if column == "mold":
        molds = (one for one in yard.molds if one.part == part.id)
        return [one.id for one in molds if model.id in one.models]
    places = (one for one in yard.places if one.kind == part.place_kind)
    return [one.id for one in places if not one.models or model.id in one.models]


def _holding(part: Part, column: str, begun: Begun) -> Line | None:
    """Give the row that took a part's mold or place, if it is still held."""
    first, last, last_of = (
        (part.mold_from, part.mold_to, "end")
        if column == "mold"
        else (part.place_from, part.place_to, part.place_to_of)
    )
    if first is None or last is None:
        return None
    if _happened(begun.get(last), last_of) is not None:
        return None
    return begun.get(first)


def _room(column: str, name: str, floor: Floor) -> int:
    if column == "mold":
        return 1
    rooms = {place.id: place.capacity for place in floor.yard.yard.places}
    return rooms.get(name, len(floor.models) + 1)
