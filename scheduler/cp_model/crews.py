"""People and stations in the constraint model, as cumulatives.

People are counted on the axis that the calendars concerned share: a pausable operation
that spans a break takes nobody there, and a one-go operation that is relieved takes its
crew on the axis of its own calendar as well. That is exact to the tick, because on the
common ticks every operation that spans one works on it.
"""

from __future__ import annotations

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


def add_crews(draft: Draft, setting: Setting, works: dict[int, Work]) -> int:
    """Never more people of any skills than there are; returns how many cumulatives."""
    a, count = setting.a, 0
    crewed = [work for op, work in works.items() if a.skill[op] >= 0]
    seen: dict[tuple[int, frozenset[tuple[int, bool]]], list[Ints]] = {}
    for subset in range(len(setting.unit)):
        own = [w for w in crewed if counts(setting, subset, w.job.op)]
        for axis, members in _crew_axes(setting, own):
            supply = setting.people[subset][a.position_at[axis.ticks]]
            whole = setting.unit[subset, [a.skill[w.job.op] for w in members]] > 0
            ops = [work.job.op for work in members]
            key = id(axis), frozenset(zip(ops, whole.tolist(), strict=True))
            tighter = seen.setdefault(key, [])
            if any((other <= supply).all() for other in tighter):
                continue
            tighter.append(supply)
            asked = [
                (work, work.crew, max(mode.crew for mode in work.modes))
                if setting.unit[subset, a.skill[work.job.op]]
                else (work, int(a.leads[work.job.op]), int(a.leads[work.job.op]))
                for work in members
            ]
            count += _add_cumulative(draft, axis, asked, supply)
    return count


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
    draft: Draft, axis: TickAxis, asked: list[tuple[Work, Any, int]], supply: Ints
) -> bool:
    """Add one cumulative unless it cannot bind.

    `asked` has with each work the people that it takes, and the most of them.
    """
    works = [work for work, _, _ in asked]
    low = min(int(axis.before[work.start.low]) for work in works)
    high = max(int(axis.before[work.end.high]) for work in works)
    if low >= high:
        return False
    most = np.zeros(len(axis) + 1, np.int64)
    for work, _, crew in asked:
        most[axis.before[work.start.low]] += crew
        most[axis.before[work.end.high]] -= crew
    if (np.cumsum(most)[low:high] <= supply[low:high]).all():
        return False
    intervals = [interval_of(draft, work, axis) for work in works]
    demands = [people for _, people, _ in asked]
    capacity = int(supply[low:high].max())
    for start, end, given in _stretches(supply, low, high):
        if given < capacity:
            taken = draft.model.new_fixed_size_interval_var(start, end - start, "")
            intervals.append(taken)
            demands.append(capacity - given)
    draft.model.add_cumulative(intervals, demands, capacity)
    return True


def _stretches(supply: Ints, low: int, high: int) -> Iterable[tuple[int, int, int]]:
    """Stretches of equal supply."""
    cuts = np.flatnonzero(np.diff(supply[low:high])) + low + 1
    edges = [low, *cuts.tolist(), high]
    for start, end in pairwise(edges):
        yield start, end, int(supply[start])


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
    capacity = int(room[low:high].max(initial=0))
    if sum(amount for _, amount in users) <= int(room[low:high].min(initial=0)):
        return
    intervals = [interval_of(draft, work, axis) for work, _ in users]
    demands = [amount for _, amount in users]
    for start, end, given in _stretches(room, low, high):
        if given < capacity:
            taken = draft.model.new_fixed_size_interval_var(start, end - start, "")
            intervals.append(taken)
            demands.append(capacity - given)
    draft.model.add_cumulative(intervals, demands, capacity)
