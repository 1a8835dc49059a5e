"""People and stations in the constraint model, as cumulatives.

People are counted on the axis that the calendars concerned share: a pausable operation
that spans a break takes nobody there, and a one-go operation that is relieved takes its
crew on the axis of its own calendar as well. That is exact to the tick, because on the
common ticks every operation that spans one works on it.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import numpy as np

from scheduler.cp_model.work import Work, interval_of

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import NDArray

    from scheduler.cp_model.axes import TickAxis
    from scheduler.cp_model.draft import Draft
    from scheduler.cp_model.setting import Setting

    Ints = NDArray[np.int64]

NO_LIMIT = 1 << 30


@dataclass(frozen=True)
class Count:
    """Work whose people are counted on an axis, and how many there are at most."""

    axis: TickAxis
    members: list[Work]
    whole: list[bool]  # by member: whether its crew counts, or its leads alone
    supply: Ints

    def covers(self, other: Count) -> bool:
        """Whether all that another counts is counted here, and something more."""
        if self.asked == other.asked:
            return False
        return all(
            one in self.asked or (one[0], True) in self.asked for one in other.asked
        )

    @cached_property
    def asked(self) -> frozenset[tuple[int, bool]]:
        """Every operation, and whether its crew counts or its leads alone."""
        ops = [work.job.op for work in self.members]
        return frozenset(zip(ops, self.whole, strict=True))


def add_crews(draft: Draft, setting: Setting, works: dict[int, Work]) -> int:
    """Never more people of any skills than there are; returns how many cumulatives."""
    counts = _all_counts(setting, works)
    reach: dict[int, NDArray[np.bool_]] = {}
    return sum(_add_cumulative(draft, setting, counts, one, reach) for one in counts)


def _all_counts(setting: Setting, works: dict[int, Work]) -> list[Count]:
    """What has to be counted; the same work once, with the fewest people."""
    a = setting.a
    crewed = [work for op, work in works.items() if a.skill[op] >= 0]
    found: dict[Any, Count] = {}
    for subset in range(len(setting.unit)):
        own = [w for w in crewed if counts(setting, subset, w.job.op)]
        for axis, members in _crew_axes(setting, own):
            supply = setting.people[subset][a.position_at[axis.ticks]]
            unit = setting.unit[subset, [a.skill[w.job.op] for w in members]]
            whole = (unit > 0).tolist()
            count = Count(axis, members, whole, supply)
            key = id(axis), count.asked
            if key in found:
                fewest = np.minimum(supply, found[key].supply)
                count = Count(axis, members, whole, fewest)
            found[key] = count
    return list(found.values())


def counts(setting: Setting, subset: int, op: int) -> bool:
    """Whether a subset of skills counts an operation's crew, or its leads alone."""
    skill = setting.a.skill[op]
    if setting.unit[subset, skill]:
        return True
    return bool(setting.leads[subset, skill] and setting.a.leads[op])


def _crew_axes(
    setting: Setting, works: list[Work]
) -> Iterable[tuple[TickAxis, list[Work]]]:
    """Axes on which people must be counted, each with the operations that count.

    For every set of calendars that are open together while others are closed, the
    ticks that all of the set have.
    """
    axes = {id(work.job.axis): work.job.axis for work in works}
    names = list(axes)  # in the order of the works: ids differ from run to run
    a = setting.a
    marks = np.zeros(a.ticks, np.int64)
    for bit, name in enumerate(names):
        marks[axes[name].ticks] |= 1 << bit
    found: dict[int, set[int]] = {}
    for pattern in np.unique(marks):
        group = {name for bit, name in enumerate(names) if pattern >> bit & 1}
        if not group:
            continue
        axis = setting.axes.meet({axes[name] for name in group})
        known = found.get(id(axis))
        if known is None or known < group:
            found[id(axis)] = group
            axes.setdefault(id(axis), axis)
    for name, group in found.items():
        members = [work for work in works if id(work.job.axis) in group]
        yield axes[name], members


def _add_cumulative(
    draft: Draft,
    setting: Setting,
    counts: list[Count],
    one: Count,
    reach: dict[int, NDArray[np.bool_]],
) -> bool:
    """Add one cumulative unless it cannot bind.

    Where it cannot, tick by tick, any number of people does that leaves it so: then the
    people who are there change less often, and each change costs the solver time.
    """
    axis, a = one.axis, setting.a
    low = min(int(axis.before[work.start.low]) for work in one.members)
    high = max(int(axis.before[work.end.high]) for work in one.members)
    if low >= high:
        return False
    leads = [int(a.leads[work.job.op]) for work in one.members]
    crews = [max(mode.crew for mode in work.modes) for work in one.members]
    most = np.where(one.whole, crews, leads).tolist()
    asked = _asked_at_most(axis, one.members, most, reach)
    enough = np.minimum(asked, _counted_elsewhere(counts, one))
    at_most = np.where(enough <= one.supply, NO_LIMIT, one.supply)[low:high]
    if (at_most == NO_LIMIT).all():
        return False
    at_least = np.minimum(enough, one.supply)[low:high]
    intervals = [interval_of(draft, work, axis) for work in one.members]
    demands = [
        work.crew if all_of else least
        for work, all_of, least in zip(one.members, one.whole, leads, strict=True)
    ]
    _add_profile(draft, intervals, demands, low, fewest_steps(at_least, at_most))
    return True


def _add_profile(
    draft: Draft,
    intervals: list[Any],
    demands: list[Any],
    low: int,
    steps: Iterable[tuple[int, int, int]],
) -> None:
    """Add a cumulative of what there is step by step, from an index of its axis on."""
    pieces = list(steps)
    capacity = max(there for _, _, there in pieces)
    taken = [
        (draft.model.new_fixed_size_interval_var(low + start, end - start, ""), there)
        for start, end, there in pieces
        if there < capacity
    ]
    draft.model.add_cumulative(
        [*intervals, *(one for one, _ in taken)],
        [*demands, *(capacity - there for _, there in taken)],
        capacity,
    )


def _asked_at_most(
    axis: TickAxis,
    works: list[Work],
    people: list[int],
    reach: dict[int, NDArray[np.bool_]],
) -> Ints:
    """How many people works could ask for together at each tick of an axis."""
    by_axis: dict[int, tuple[TickAxis, Ints]] = {}
    for work, most in zip(works, people, strict=True):
        own = work.job.axis
        _, total = by_axis.setdefault(id(own), (own, np.zeros(len(own), np.int64)))
        total += most * _reach(work, reach)
    asked = np.zeros(len(axis), np.int64)
    for own, total in by_axis.values():
        asked += total[own.before[axis.ticks]]
    return asked


def _reach(work: Work, reach: dict[int, NDArray[np.bool_]]) -> NDArray[np.bool_]:
    """Whether an operation could be at work at each tick of its axis."""
    op = work.job.op
    if op not in reach:
        longest = max(mode.length for mode in work.modes)
        edges = np.zeros(len(work.job.axis) + 1, np.int64)
        for mode in work.modes:
            np.add.at(edges, mode.starts, 1)
            np.add.at(edges, np.minimum(mode.starts + longest, len(edges) - 1), -1)
        reach[op] = np.cumsum(edges[:-1]) > 0
    return reach[op]


def _counted_elsewhere(counts: list[Count], one: Count) -> Ints:
    """People whom the same work may have as it counts among more, tick by tick."""
    least = np.full(len(one.axis), NO_LIMIT, np.int64)
    for other in counts:
        if not other.covers(one):
            continue
        ticks, axis = one.axis.ticks, other.axis
        place = axis.before[ticks]
        there = axis.before[ticks + 1] > place
        least[there] = np.minimum(least[there], other.supply[place[there]])
    return least


def fewest_steps(at_least: Ints, at_most: Ints) -> Iterable[tuple[int, int, int]]:
    """Stretches of one number each, between two limits everywhere, as few as may be.

    The number is the least that there can be.
    """
    changes = (np.diff(at_least) != 0) | (np.diff(at_most) != 0)
    edges = [0, *(np.flatnonzero(changes) + 1).tolist(), len(at_least)]
    since, least, most = 0, 0, NO_LIMIT
    for start, _ in pairwise(edges):
        lower, upper = int(at_least[start]), int(at_most[start])
        if max(least, lower) > min(most, upper):
            yield since, start, least
            since, least, most = start, lower, upper
        else:
            least, most = max(least, lower), min(most, upper)
    yield since, len(at_least), least


def add_stations(draft: Draft, setting: Setting, works: dict[int, Work]) -> None:
    """Keep every station within its capacity, from start to finish of the work."""
    a = setting.a
    users: dict[int, list[tuple[Work, int]]] = {}
    for op, work in works.items():
        if work.job.has_length:
            for k in range(a.demand_at[op], a.demand_at[op + 1]):
                amount = int(a.demand_amount[k])
                users.setdefault(int(a.demand_station[k]), []).append((work, amount))
    for station, own in users.items():
        axis = setting.axes.union({work.job.axis for work, _ in own})
        room = setting.room[station][a.position_at[axis.ticks]]
        _add_station(draft, axis, own, room)


def _add_station(
    draft: Draft, axis: TickAxis, users: list[tuple[Work, int]], room: Ints
) -> None:
    low = min(int(axis.before[work.start.low]) for work, _ in users)
    high = max(int(axis.before[work.end.high]) for work, _ in users)
    there = room[low:high]
    if sum(amount for _, amount in users) <= int(there.min(initial=0)):
        return
    intervals = [interval_of(draft, work, axis) for work, _ in users]
    demands = [amount for _, amount in users]
    _add_profile(draft, intervals, demands, low, fewest_steps(there, there))
