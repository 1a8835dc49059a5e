"""The difference of two plans in words first, in tables after."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from scheduler.commands.common import plural, table
from scheduler.difference import (
    BREAKS,
    HEALS,
    LATE,
    BoatChange,
    Difference,
    OperationChange,
)

MOST_NAMED = 6
PEOPLE_SHOWN = 40


def word_lines(found: Difference) -> list[str]:
    """What a planner must know before publishing, most urgent first."""
    if found.same:
        return ["The two plans are the same: every boat, step and person."]
    boats = found.boats
    lines = [
        _promises("Promises that break", boats, BREAKS),
        _promises("Promises that heal", boats, HEALS),
        *_promised_anew(boats),
        _finishes(boats),
        *_still_late(boats),
        *_only_in_one(boats),
        *_operations(found),
        f"Weighted working days late: {found.tardiness_before:g} before, "
        f"{found.tardiness_after:g} after.",
        *_overtime(found),
    ]
    return lines


def _overtime(found: Difference) -> list[str]:
    if not found.overtime_before and not found.overtime_after:
        return []
    return [
        f"Price of overtime: {found.overtime_before:,.0f} before, "
        f"{found.overtime_after:,.0f} after."
    ]


def _named(names: Iterable[str]) -> str:
    chosen = list(names)
    more = f" and {len(chosen) - MOST_NAMED} more" if len(chosen) > MOST_NAMED else ""
    return ", ".join(chosen[:MOST_NAMED]) + more


def _promises(title: str, boats: Iterable[BoatChange], kind: str) -> str:
    those = [one for one in boats if one.promise == kind]
    told = _named(
        f"{one.order} (promised {one.promised_after}, finish {one.finish_after})"
        for one in those
    )
    return f"{title}: {told or 'none'}."


def _promised_anew(boats: Iterable[BoatChange]) -> list[str]:
    those = [
        f"{one.order} {one.promised_before or 'none'} → {one.promised_after or 'none'}"
        for one in boats
        if one.finish_before is not None
        and one.finish_after is not None
        and one.promised_before != one.promised_after
    ]
    return [f"Dates promised anew: {_named(those)}."] if those else []


def _finishes(boats: Iterable[BoatChange]) -> str:
    both = [one for one in boats if one.finish_before and one.finish_after]
    later = [one for one in both if one.days_later > 0]
    earlier = [one for one in both if one.days_later < 0]
    if not later and not earlier:
        return f"Finish moved: none of {_counted(both)}."
    farthest = max(both, key=lambda one: abs(one.days_later))
    return (
        f"Finish moved: {len(later) + len(earlier)} of {_counted(both)}, "
        f"{len(later)} later, {len(earlier)} earlier; farthest {farthest.order}, "
        f"{_days(farthest.days_later)}."
    )


def _counted(rows: Sequence[BoatChange]) -> str:
    """How many boats, and how many other jobs if there are any."""
    boats = sum(one.is_boat for one in rows)
    others = len(rows) - boats
    jobs = f" and {plural(others, 'other job')}" if others else ""
    return f"{plural(boats, 'boat')}{jobs}"


def _days(count: int) -> str:
    if count == 0:
        return "-"
    return f"{plural(abs(count), 'day')} {'later' if count > 0 else 'earlier'}"


def _still_late(boats: Iterable[BoatChange]) -> list[str]:
    late = [one for one in boats if one.promise == LATE]
    if not late:
        return []
    more = sum(one.late_days_after > one.late_days_before for one in late)
    less = sum(one.late_days_after < one.late_days_before for one in late)
    return [
        f"Late in both: {plural(len(late), 'promise')}, {more} of them later than "
        f"before, {less} less late."
    ]


def _only_in_one(boats: Iterable[BoatChange]) -> list[str]:
    lines = []
    fresh = [one.order for one in boats if one.finish_before is None]
    gone = [one.order for one in boats if one.finish_after is None]
    if fresh:
        lines.append(f"Only in the later plan: {_named(fresh)}.")
    if gone:
        lines.append(f"Only in the earlier plan: {_named(gone)}.")
    return lines


def _operations(found: Difference) -> list[str]:
    moved = [one for one in found.operations if one.moved]
    days = sum(one.other_day for one in moved)
    manned = sum(one.other_people for one in found.operations)
    if found.operations:
        lines = [
            f"Steps: of {found.compared:,} to do in both plans, {len(moved):,} begin "
            f"or end at another time, {days:,} begin on another day; {manned:,} have "
            "other people."
        ]
    else:
        lines = [f"Steps: all {found.compared:,} to do in both plans stand."]
    if found.done_since:
        lines.append(f"Done since: {plural(found.done_since, 'step')}.")
    if found.people:
        lines.append(f"People whose work changes: {len(found.people)}.")
    return lines


def table_lines(found: Difference) -> list[str]:
    """Boats of which anything changed, then people."""
    return [*_boat_table(found), *_people_table(found)]


def _boat_table(found: Difference) -> list[str]:
    rows = [_boat_row(one) for one in found.boats if one.changed]
    heads = (
        *("boat", "model", "finish", "is then", "moved", "promised", "promise"),
        *("steps moved", "other people"),
    )
    return ["", *table(heads, rows, "       rr")] if rows else []


def _people_table(found: Difference) -> list[str]:
    if not found.people:
        return []
    rows = [
        (
            *(one.person, one.gained, one.lost),
            *(f"{one.hours_before:.1f}", f"{one.hours_after:.1f}"),
        )
        for one in found.people[:PEOPLE_SHOWN]
    ]
    heads = ("person", "steps gained", "lost", "hours before", "after")
    lines = ["", *table(heads, rows, " rrrr")]
    if len(found.people) > PEOPLE_SHOWN:
        lines.append(f"... and {len(found.people) - PEOPLE_SHOWN} more people")
    return lines


def _boat_row(one: BoatChange) -> tuple[object, ...]:
    return (
        one.order,
        one.model,
        one.finish_before or "-",
        one.finish_after or "-",
        _days(one.days_later),
        one.promised_after or one.promised_before or "-",
        one.promise if one.finish_after else "not in the later plan",
        one.operations_moved,
        one.people_changed,
    )


def operation_lines(found: Difference) -> list[str]:
    """Every operation that begins, ends or is manned otherwise."""
    rows = [
        (
            one.operation,
            _minute(one.start_before),
            _minute(one.start_after),
            " ".join(one.people_before),
            " ".join(one.people_after) if one.other_people else "the same",
        )
        for one in found.operations
    ]
    heads = ("step", "start", "is then", "people", "are then")
    return ["", *table(heads, rows)] if rows else []


def _minute(at: Any) -> str:
    return f"{at:%Y-%m-%d %H:%M}"


def as_object(found: Difference) -> dict[str, Any]:
    """The whole difference for other programs; dates and instants are ISO 8601."""
    return {
        "same": found.same,
        "tardiness": {"before": found.tardiness_before, "after": found.tardiness_after},
        "overtime": {"before": found.overtime_before, "after": found.overtime_after},
        "operations_compared": found.compared,
        "operations_done_since": found.done_since,
        "boats": [_boat_object(one) for one in found.boats if one.changed],
        "operations": [_operation_object(one) for one in found.operations],
        "people": [
            {
                "person": one.person,
                "operations_gained": one.gained,
                "operations_lost": one.lost,
                "hours_before": one.hours_before,
                "hours_after": one.hours_after,
            }
            for one in found.people
        ],
    }


def _boat_object(one: BoatChange) -> dict[str, Any]:
    def iso(day: Any) -> str | None:
        return None if day is None else day.isoformat()

    return {
        "order": one.order,
        "model": one.model,
        "finish": {"before": iso(one.finish_before), "after": iso(one.finish_after)},
        "promised": {
            "before": iso(one.promised_before),
            "after": iso(one.promised_after),
        },
        "late_days": {"before": one.late_days_before, "after": one.late_days_after},
        "days_later": one.days_later,
        "promise": one.promise,
        "operations_moved": one.operations_moved,
        "operations_with_other_people": one.people_changed,
    }


def _operation_object(one: OperationChange) -> dict[str, Any]:
    return {
        "operation": one.operation,
        "order": one.order,
        "start": {
            "before": one.start_before.isoformat(timespec="minutes"),
            "after": one.start_after.isoformat(timespec="minutes"),
        },
        "finish": {
            "before": one.finish_before.isoformat(timespec="minutes"),
            "after": one.finish_after.isoformat(timespec="minutes"),
        },
        "people": {"before": list(one.people_before), "after": list(one.people_after)},
    }
