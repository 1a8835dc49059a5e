"""Operations, crews and stations in the constraint model.

An operation is a start index on its own axis with one Boolean for each crew size that
is worth choosing. People are cumulative on the axis that the calendars concerned share:
a pausable operation that spans a break takes nobody there, and a one-go operation that
is relieved takes its crew on the axis of its own calendar as well. That is exact to
the tick, because on the common ticks every operation that spans one works on it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np
from ortools.sat.python import cp_model

from scheduler.cp_draft import Quantity, negated
from scheduler.cp_moments import Moment

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import NDArray

    from scheduler.cp_axes import TickAxis
    from scheduler.cp_draft import Draft, Literal
    from scheduler.cp_setting import Setting
    from scheduler.cp_windows import Job, Mode, Windows

    Ints = NDArray[np.int64]


@dataclass
class Work:
    """One free operation in the model."""

    job: Job
    chosen: list[Literal]  # by mode; True where there is only one
    start: Moment
    end: Moment
    intervals: dict[tuple[int, int], Any] = field(default_factory=dict)

    @property
    def modes(self) -> list[Mode]:
        """Crew sizes worth choosing."""
        return self.job.modes


def add_work(draft: Draft, setting: Setting, windows: Windows) -> dict[int, Work]:
    """Add every free operation."""
    return {
        op: _add_operation(draft, setting, job) for op, job in windows.jobs.items()
    }


def _add_operation(draft: Draft, setting: Setting, job: Job) -> Work:
    hint, op = setting.hint, job.op
    value = length = None
    if hint is not None:
        length = int(hint.length[op])
        value = int(hint.index[op] if job.has_length else hint.start[op])
    starts = job.modes[0].starts
    for mode in job.modes[1:]:
        starts = np.union1d(starts, mode.starts)
    at = _number(draft, starts, value)
    chosen: list[Literal] = [True]
    if len(job.modes) > 1:
        chosen = [
            draft.choice(None if length is None else mode.length == length)
            for mode in job.modes
        ]
        draft.model.add_exactly_one(chosen)
    start = Moment(draft, job.axis, at, allowed=starts)
    if not job.has_length:
        return Work(job, chosen, start, start)
    one_day = start if setting.a.one_go[op] else None
    if one_day and len(job.modes) > 1 and not _ends_in_its_day(start):
        _fit_runs(draft, job, at, chosen)
    end = Moment(
        draft,
        job.axis,
        _last_tick(draft, job, at, chosen, length),
        at_end=True,
        same_day=one_day,
    )
    if one_day and len(job.modes) > 1:
        end.split()  # the same day for both keeps the work inside it
    return Work(job, chosen, start, end)


def _ends_in_its_day(start: Moment) -> bool:
    """Whether the place in the day keeps a one-go operation inside an unbroken run."""
    split, axis = start.split(), start.axis
    if split is None:
        return False
    firsts = axis.day_at[split.day.low : split.day.high + 1]
    return bool((axis.run_end[firsts] == firsts + split.length).all())


def _fit_runs(
    draft: Draft, job: Job, at: Quantity, chosen: list[Literal]
) -> None:
    """Let each crew of a one-go operation start only where its run is long enough."""
    for mode, literal in zip(job.modes, chosen, strict=True):
        domain = cp_model.Domain.from_values(mode.starts.tolist())
        inside = draft.model.add_linear_expression_in_domain(at.expr, domain)
        inside.only_enforce_if(literal)


def _number(draft: Draft, values: Ints, hint: int | None) -> Quantity:
    low, high = int(values[0]), int(values[-1])
    dense = high - low + 1 == len(values)
    return draft.whole(low, high, hint, None if dense else values.tolist())


def _last_tick(
    draft: Draft, job: Job, at: Quantity, chosen: list[Literal], length: int | None
) -> Quantity:
    """The index of the last worked tick."""
    if len(job.modes) == 1:
        return at.plus(job.modes[0].length - 1)
    low = min(int(mode.starts[0]) + mode.length for mode in job.modes) - 1
    high = max(int(mode.starts[-1]) + mode.length for mode in job.modes) - 1
    value = None
    if at.value is not None and length is not None:
        value = at.value + length - 1
    last = draft.whole(low, high, value)
    extra = [
        (mode.length - 1) * literal
        for mode, literal in zip(job.modes, chosen, strict=True)
    ]
    draft.model.add(last.expr == at.expr + sum(extra))
    return last


def interval_of(
    draft: Draft, work: Work, mode: int, axis: TickAxis, literal: Literal
) -> Any:
    """The interval of an operation on an axis, if it has a given crew."""
    key = mode, id(axis)
    if key not in work.intervals:
        start, end = work.start.on(axis), work.end.on(axis)
        length = work.modes[mode].length
        if axis is work.job.axis:
            size: Any = length
        else:
            size = _size(draft, work, mode, axis, start, end)
        add = draft.model.new_optional_interval_var
        work.intervals[key] = add(start.expr, size, end.expr, literal, "")
    return work.intervals[key]


def _size(
    draft: Draft,
    work: Work,
    mode: int,
    axis: TickAxis,
    start: Quantity,
    end: Quantity,
) -> Any:
    one = work.modes[mode]
    ticks = work.job.axis.ticks
    first, last = ticks[one.starts], ticks[one.starts + one.length - 1] + 1
    sizes = np.unique(axis.before[last] - axis.before[first])
    value = None
    if start.value is not None and end.value is not None:
        value = end.value - start.value
        value = value if value in sizes else int(sizes[0])
    return _number(draft, sizes, value).expr


def add_crews(draft: Draft, setting: Setting, works: dict[int, Work]) -> int:
    """Never more people of any skills than there are; returns how many cumulatives."""
    a, count = setting.a, 0
    crewed = [work for op, work in works.items() if a.skill[op] >= 0]
    seen: dict[tuple[int, frozenset[int]], list[Ints]] = {}
    for subset in range(len(setting.unit)):
        own = [w for w in crewed if setting.unit[subset, a.skill[w.job.op]]]
        for axis, members in _crew_axes(setting, own):
            supply = setting.people[subset][a.position_at[axis.ticks]]
            key = id(axis), frozenset(work.job.op for work in members)
            tighter = seen.setdefault(key, [])
            if any((other <= supply).all() for other in tighter):
                continue
            tighter.append(supply)
            count += _add_cumulative(draft, axis, members, supply)
    return count


def _crew_axes(
    setting: Setting, works: list[Work]
) -> Iterable[tuple[TickAxis, list[Work]]]:
    """Axes on which people must be counted, each with the operations that count.

    For every set of calendars that are open together while others are closed, the
    ticks that all of the set have.
    """
    axes = {id(work.job.axis): work.job.axis for work in works}
    names = sorted(axes)
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
    draft: Draft, axis: TickAxis, works: list[Work], supply: Ints
) -> bool:
    """Add one cumulative unless it cannot bind."""
    low = min(int(axis.before[work.start.low]) for work in works)
    high = max(int(axis.before[work.end.high]) for work in works)
    if low >= high:
        return False
    most = np.zeros(len(axis) + 1, np.int64)
    for work in works:
        crew = max(mode.crew for mode in work.modes)
        most[axis.before[work.start.low]] += crew
        most[axis.before[work.end.high]] -= crew
    if (np.cumsum(most)[low:high] <= supply[low:high]).all():
        return False
    intervals, demands = [], []
    for work in works:
        for mode, literal in enumerate(work.chosen):
            intervals.append(interval_of(draft, work, mode, axis, literal))
            demands.append(work.modes[mode].crew)
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
    for start, end in zip(edges[:-1], edges[1:], strict=True):
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
    intervals, demands = [], []
    for work, amount in users:
        for mode, literal in enumerate(work.chosen):
            intervals.append(interval_of(draft, work, mode, axis, literal))
            demands.append(amount)
    for start, end, given in _stretches(room, low, high):
        if given < capacity:
            taken = draft.model.new_fixed_size_interval_var(start, end - start, "")
            intervals.append(taken)
            demands.append(capacity - given)
    draft.model.add_cumulative(intervals, demands, capacity)


def add_clashes(draft: Draft, setting: Setting, works: dict[int, Work]) -> None:
    """Keep exclusive work in a part apart from all other work in it."""
    a = setting.a
    for op in range(len(a.boat_of)):
        for k in range(a.clash_at[op], a.clash_at[op + 1]):
            other = int(a.clash_list[k])
            if other > op and (op in works or other in works):
                _keep_apart(draft, setting, works, op, other)


def _keep_apart(
    draft: Draft, setting: Setting, works: dict[int, Work], op: int, other: int
) -> None:
    pair = [one for one in (op, other) if one in works]
    if any(not works[one].job.has_length for one in pair):
        return
    if len(pair) == 1:
        free = works[pair[0]]
        fixed = other if pair[0] == op else op
        begin, finish = int(setting.start[fixed]), int(setting.finish[fixed])
        if begin < finish and free.job.begun is None:
            keep_off(draft, free.start, free.end, (begin, finish), [])
        return
    first, second = works[op], works[other]
    if (first.job.begun is None) != (second.job.begun is None):
        early, late = (first, second) if second.job.begun is None else (second, first)
        precede(draft, setting, early, late)
        return
    order = draft.choice(_comes_first(first, second))
    precede(draft, setting, first, second, [order])
    precede(draft, setting, second, first, [negated(order)])


def _comes_first(first: Work, second: Work) -> bool | None:
    axis = first.job.axis
    end, start = first.end.on(axis).value, second.start.on(axis).value
    return None if end is None or start is None else end <= start


def precede(
    draft: Draft,
    setting: Setting,
    first: Work,
    second: Work,
    condition: list[Literal] | None = None,
) -> None:
    """Let one operation end at or before another starts (if a condition holds)."""
    axis = common_axis(setting, first, second)
    bound = draft.model.add(first.end.on(axis).expr <= second.start.on(axis).expr)
    if condition:
        bound.only_enforce_if(condition)


def common_axis(setting: Setting, first: Work, second: Work) -> TickAxis:
    """An axis on which "one ends before the other starts" is exact."""
    axes = [w.job.axis for w in (first, second) if w.job.has_length]
    if not axes:
        return setting.axes.all
    return min(axes, key=len)


def keep_off(
    draft: Draft,
    start: Moment | int,
    end: Moment | int,
    span: tuple[int, int],
    condition: list[Literal],
) -> None:
    """Keep what lies between two moments off a span of ticks (if a condition holds)."""
    first, last = span
    choices: list[Literal] = []
    for moment, limit, at_least in ((end, first, False), (start, last, True)):
        verdict = _side(draft, moment, limit, at_least)
        if verdict is True:
            return
        if verdict is not False:
            choices.append(verdict)
    clause = choices + [negated(literal) for literal in condition]
    draft.model.add_bool_or(clause)


def _side(draft: Draft, moment: Moment | int, limit: int, at_least: bool) -> Any:
    """Whether a moment is at or after a tick (or at or before it)."""
    if isinstance(moment, int):
        return moment >= limit if at_least else moment <= limit
    ticks = moment.axis.ticks
    if at_least:
        index = int(np.searchsorted(ticks + moment.at_end, limit))
        return draft.reached(moment.at, index)
    index = int(np.searchsorted(ticks + moment.at_end, limit, side="right"))
    return negated(draft.reached(moment.at, index))
