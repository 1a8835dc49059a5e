"""Service of molds after so many pulls: when one can end, and which ones a plan needs.

A pull is one part of a boat in the mold, from the start of its preparation to the end
of its demolding; a repair keeps the mold as long, but is none. A service takes open
hours of a calendar, with nothing in the mold and no outage. One with a crew is work of
its own (`scheduler.service_work`); this is about those that take nobody. Between two
services there are at most `service_every` pulls; a service is possible in every gap
that is long enough, so a pull is in order where at most so many follow upon the last
such gap.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from models.calendars import open_ticks

if TYPE_CHECKING:
    from scheduler.plan import Occupation
    from scheduler.problem import Mold, Order, Problem

from scheduler.problem import Service

SERVICE = "service"
"""Kind of the orders that stand for services by people (`scheduler.service_work`)."""

NEVER = 2**30
"""A tick later than any on the axis."""


def is_pull(order: Order) -> bool:
    """Whether a mold that an order takes is pulled: repairs and services are not."""
    return order.kind not in ("other", SERVICE)


def has_crew(mold: Mold) -> bool:
    """Whether a mold is serviced, and by people."""
    return mold.service_every is not None and mold.service_skill is not None


def service_ticks(mold: Mold, tick_minutes: int) -> int:
    """Open ticks that a service takes, rounded up."""
    return max(1, int(-((-(mold.service_hours or 0) + 1e-9) * 60 // tick_minutes)))


def service_ends(problem: Problem, mold: Mold) -> NDArray[np.int32]:
    """The earliest end of a service from each tick on, NEVER if there is none.

    Before now no service can begin: what was serviced then is in `pulls`.
    """
    axis = problem.axis
    spans = next(c.open for c in problem.calendars if c.id == mold.service_calendar)
    look_up = open_ticks(spans, axis.ticks)
    since = np.maximum(np.arange(axis.ticks + 1), problem.now)
    last = look_up.index_at[since] + service_ticks(mold, axis.tick_minutes) - 1
    ends = np.full(axis.ticks + 1, NEVER, np.int32)
    known = last < len(look_up.tick_of)
    ends[known] = look_up.tick_of[last[known]] + 1
    return ends


def plan_services(
    problem: Problem, occupations: Sequence[Occupation]
) -> tuple[Service, ...]:
    """The services by nobody that the occupations need, each as late as it can be."""
    out: list[Service] = []
    for mold in problem.molds:
        if mold.service_every is not None and not has_crew(mold):
            own = [one for one in occupations if one.resource == mold.id]
            out += _services_of(problem, mold, own)
    return tuple(out)


def _services_of(
    problem: Problem, mold: Mold, occupations: Sequence[Occupation]
) -> list[Service]:
    """Walk the pulls in order of time; the last gap that a service fits is taken."""
    ends = service_ends(problem, mold)
    kept = {one.order for one in problem.orders if not is_pull(one)}
    spans = [(one.start, one.finish, one.order not in kept) for one in occupations]
    spans += [(start, finish, False) for start, finish in mold.unavailable]
    out: list[Service] = []
    count, since_gap, free_from = mold.pulls, 0, 0
    gap: tuple[int, int] | None = None
    for start, finish, counts in sorted(spans):
        end = int(ends[min(free_from, problem.axis.ticks)])
        if end <= start:
            begin = int(np.searchsorted(ends, end, side="right")) - 1  # opening time
            gap, since_gap = (begin, end), 0
        if counts:
            if gap is not None and count + 1 > (mold.service_every or 0):
                out.append(Service(mold.id, *gap))
                count, gap = since_gap, None
            count, since_gap = count + 1, since_gap + 1
        free_from = max(free_from, finish)
    return out
