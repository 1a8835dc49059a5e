"""Molds and places by trial: whether some stays fit into them, one after the other."""

from __future__ import annotations

from collections.abc import Callable

from models.spans import Span
from scheduler.problem import Calendar, Committed

Stay = tuple[Span, list[str], bool]  # from when to when, where, and if it is a pull
Slots = dict[tuple[str, int], list[tuple[int, int, bool]]]


def named(given: Committed | None, what: str) -> list[str]:
    """The mold or place that a step done says its part is in."""
    name = getattr(given, what, None)
    return [] if name is None else [name]


def count_open(calendar: Calendar, begin: int, until: int) -> int:
    """Open ticks of a calendar between two instants."""
    return sum(
        max(0, min(until, end) - max(begin, start)) for start, end in calendar.open
    )


def pack(
    stays: list[Stay],
    slots: Slots,
    are_serviced: Callable[[Slots], bool],
) -> bool:
    """Whether every stay finds a slot of its own for its whole span."""
    if not stays:
        return are_serviced(slots)
    (begin, end), fitting, is_pull = stays[0]
    for (name, _), taken in slots.items():
        if name in fitting and all(end <= a or b <= begin for a, b, _ in taken):
            taken.append((begin, end, is_pull))
            if pack(stays[1:], slots, are_serviced):
                taken.pop()
                return True
            taken.pop()
    return False
