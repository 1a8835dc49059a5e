"""What must be released before a step may begin, and what nobody may touch meanwhile.

Times follow from the planned ends of the steps before, or from the true ones where
those are facts. A step that ends later moves its releases by as much: a sheet says so.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from typing import TYPE_CHECKING

from scheduler.waiting import limits

if TYPE_CHECKING:
    from scheduler.problem import Span, Wait
    from scheduler.sheets.floor import Floor

RESTS = frozenset({"cure", "tack", "bond"})


@dataclass(frozen=True, slots=True)
class Release:
    """What one step before asks of a step: instants are ticks.

    `opens` is the first instant allowed, `closes` the last (a bond window's end). Both
    count for the step's start or its end (`counts_for`).
    """

    kind: str  # cure | tack | bond | sequence | transport
    before: str
    before_of: str  # start | end
    since: int
    opens: int
    min_hours: float
    closes: int | None
    counts_for: str  # start | end
    is_fact: bool

    @property
    def is_wait(self) -> bool:
        """Whether time must pass, beyond the step before being finished."""
        return self.opens > self.since


@dataclass(frozen=True, slots=True)
class Resting:
    """A part that nobody may touch: from and until which tick, and what is next."""

    kind: str  # cure | tack | bond
    before: str
    since: int
    until: int
    next_steps: tuple[str, ...]
    next_start: int
    is_fact: bool


def releases_of(floor: Floor, operation: str) -> tuple[Release, ...]:
    """What the steps before ask of a step, those that open last first."""
    found = [_release(floor, wait) for wait in floor.into.get(operation, ())]
    return tuple(sorted(found, key=lambda one: (-one.opens, one.before)))


def _release(floor: Floor, wait: Wait) -> Release:
    row = floor.planned[wait.before]
    since = row.finish if wait.before_of == "end" else row.start
    return Release(
        kind=wait.kind,
        before=wait.before,
        before_of=wait.before_of,
        since=since,
        opens=floor.clock.after_wait(wait, since),
        min_hours=wait.min_minutes / 60,
        closes=_closes(floor, wait, since),
        counts_for=wait.after_of,
        is_fact=floor.is_done(wait.before),
    )


def _closes(floor: Floor, wait: Wait, since: int) -> int | None:
    """The last instant that a wait's maximum allows, on the clock that it runs on."""
    axis = floor.plan.problem.axis
    _, most = limits(wait, axis.tick_minutes)
    if most is None:
        return None
    if wait.clock == "wall":
        return min(since + most, axis.ticks)
    begin = max(since, 0)
    later = bisect_right(
        range(begin, axis.ticks + 1),
        most,
        key=lambda tick: floor.wait_clock.gap(wait, since, tick),
    )
    return begin + later - 1


def resting(floor: Floor, during: Span) -> tuple[Resting, ...]:
    """Cures, tack times and bonds that run in a span, soonest over first.

    What waits for one step until the same instant is one entry.
    """
    found: dict[tuple[str, str, int], Resting] = {}
    for after, into in floor.into.items():
        for wait in into:
            one = _release(floor, wait)
            runs = one.since < during[1] and during[0] < one.opens
            if wait.kind not in RESTS or not one.is_wait or not runs:
                continue
            key = (one.kind, one.before, one.opens)
            known = found.get(key)
            steps = {after} if known is None else {after, *known.next_steps}
            in_order = sorted(steps, key=lambda name: (_start(floor, name), name))
            found[key] = Resting(
                kind=one.kind,
                before=one.before,
                since=one.since,
                until=one.opens,
                next_steps=tuple(in_order),
                next_start=_start(floor, in_order[0]),
                is_fact=one.is_fact,
            )
    return tuple(sorted(found.values(), key=lambda one: (one.until, one.before)))


def _start(floor: Floor, operation: str) -> int:
    return floor.planned[operation].start
