"""Why work moves, in words: one line a cause, the first few boats of each."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from scheduler.causes import Cause, grouped
from scheduler.commands.common import plural

CAUSES_SHOWN = 10
BOATS_NAMED = 3


def cause_lines(causes: Sequence[Cause]) -> list[str]:
    """Moves by cause, most moves first; empty where nothing moves."""
    if not causes:
        return []
    groups = grouped(causes)
    outside = sum(not one.inside_window for one in causes)
    lines = [
        "WHY WORK MOVES",
        f"{plural(len(causes), 'step')} to do begin at another time, {outside} of them "
        "outside the frozen window:",
    ]
    lines += [_line(cause, rows) for cause, rows in [*groups.items()][:CAUSES_SHOWN]]
    left = [*groups.values()][CAUSES_SHOWN:]
    if left:
        count = plural(sum(len(rows) for rows in left), "step")
        lines.append(f"  and {len(left)} more causes of {count}: --json lists all")
    return lines


def _line(cause: str, rows: Sequence[Cause]) -> str:
    boats = list(dict.fromkeys(one.order for one in rows))
    more = len(boats) - BOATS_NAMED
    named = ", ".join(boats[:BOATS_NAMED]) + (f" and {more} more" if more > 0 else "")
    first = rows[0]
    then, now = first.start_before, first.start_after
    return (
        f"  {cause}: {plural(len(rows), 'step')} of {named}; first {first.operation}, "
        f"{then:%Y-%m-%d %H:%M} → {now:%Y-%m-%d %H:%M}"
    )


def cause_objects(causes: Sequence[Cause]) -> list[dict[str, Any]]:
    """Every move with its cause, for other programs; instants are ISO 8601."""
    return [
        {
            "operation": one.operation,
            "order": one.order,
            "from": one.start_before.isoformat(),
            "to": one.start_after.isoformat(),
            "inside_frozen_window": one.inside_window,
            "cause": one.cause,
            "follows": one.follows or None,
        }
        for one in causes
    ]
