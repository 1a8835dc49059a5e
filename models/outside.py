"""Work done outside the yard: a supplier's lead, in working days of a calendar.

What goes out leaves at the end of a working day, and is back at the end of the
`lead_days`-th working day after it. So an outside operation works only the last tick of
each working day, one more of them than it has days of lead: a calendar of its own makes
it an operation like any other without a crew.
"""

from __future__ import annotations

from collections.abc import Iterable

from models.axis import Axis
from models.calendars import working_days
from models.spans import Span


def day_ends_name(calendar: str) -> str:
    """Name the calendar of another one's ends of days; no yard can name one so."""
    return f"{calendar}: ends of days"


def day_ends(open_spans: Iterable[Span], axis: Axis) -> tuple[Span, ...]:
    """The last open tick of each working day."""
    return tuple((end - 1, end) for _, end in working_days(open_spans, axis))


def day_ends_left(
    lead_days: int, ends: Iterable[Span], left_at: int | None, now: int
) -> int:
    """How many ends of days an outside operation still has to see.

    One that has left, at the tick `left_at`, and is overdue is taken to be back at the
    next end of a day.
    """
    if left_at is None:
        return lead_days + 1
    seen = sum(left_at <= start < now for start, _ in ends)
    return max(1, lead_days + 1 - seen)
