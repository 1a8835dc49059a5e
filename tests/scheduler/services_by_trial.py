"""Services of molds by trial: in each gap between two stays, at each start, or not."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from scheduler.problem import Mold, Problem
from tests.scheduler.slots_by_trial import Slots, count_open

Serviced = tuple[str, int, int]  # skill, crew, and the ticks of the work as bits
IsFree = Callable[[int, list[Serviced]], bool]


def serviced(problem: Problem, slots: Slots, is_free: IsFree) -> bool:
    """Whether every mold is serviced after so many pulls at most.

    `is_free` says whether people suffice at some ticks with some services in work.
    """
    molds = [one for one in problem.molds if one.service_every is not None]
    by_nobody = [one for one in molds if one.service_skill is None]
    by_people = [one for one in molds if one.service_skill is not None]
    if not all(_in_gaps(problem, one, slots) for one in by_nobody):
        return False
    return _with_people(problem, by_people, slots, is_free, [])


def _need(problem: Problem, mold: Mold) -> int:
    return int(-(-(mold.service_hours or 0) * 60 // problem.axis.tick_minutes))


def _in_gaps(problem: Problem, mold: Mold, slots: Slots) -> bool:
    """Whether the gaps that are long enough leave never too many pulls between."""
    calendar = next(one for one in problem.calendars if one.id == mold.service_calendar)
    count, free = mold.pulls, problem.now
    for begin, end, is_pull in sorted(slots[mold.id, 0]):
        if count_open(calendar, free, begin) >= _need(problem, mold):
            count = 0
        count, free = count + is_pull, max(free, end)
        if is_pull and count > (mold.service_every or 0):
            return False
    return True


def _with_people(
    problem: Problem,
    molds: list[Mold],
    slots: Slots,
    is_free: IsFree,
    at: list[Serviced],
) -> bool:
    if not molds:
        return True
    stays = sorted(slots[molds[0].id, 0])
    return any(
        _with_people(problem, molds[1:], slots, is_free, more)
        for more in _ways(problem, molds[0], stays, molds[0].pulls, is_free, at)
    )


def _ways(
    problem: Problem,
    mold: Mold,
    stays: list[tuple[int, int, bool]],
    count: int,
    is_free: IsFree,
    at: list[Serviced],
    free: int = 0,
) -> Iterator[list[Serviced]]:
    """Each way to service a mold between its stays, with the services before."""
    if not stays:
        yield at
        return
    (begin, end, is_pull), *rest = stays
    if count + is_pull <= (mold.service_every or 0) or not is_pull:
        yield from _ways(problem, mold, rest, count + is_pull, is_free, at, end)
    for work in _places(problem, mold, max(free, problem.now), begin):
        more = [*at, (mold.service_skill or "", mold.service_crew or 1, work)]
        if is_free(work, more):
            yield from _ways(problem, mold, rest, int(is_pull), is_free, more, end)


def _places(problem: Problem, mold: Mold, since: int, until: int) -> Iterator[int]:
    """The ticks of a service, from each start at which a gap has room for it."""
    calendar = next(one for one in problem.calendars if one.id == mold.service_calendar)
    ticks = [
        tick
        for start, end in calendar.open
        for tick in range(max(start, since), min(end, until))
    ]
    need = _need(problem, mold)
    for first in range(len(ticks) - need + 1):
        yield sum(1 << tick for tick in ticks[first : first + need])
