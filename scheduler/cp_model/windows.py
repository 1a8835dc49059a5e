"""When each operation can start at all: every start that people, shifts, stations,
waits and its boat's latest finish leave, mode by mode.

Exact look-ups on the calendars; nothing is rounded. The tighter these lists, the
smaller the constraint model.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from scheduler.compiling.arrays import FAR, STARTED
from scheduler.cp_model.hands import can_be_manned
from scheduler.cp_model.openings import in_openings
from scheduler.decoding.decoder import tardy_days

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from scheduler.cp_model.axes import TickAxis
    from scheduler.cp_model.setting import Setting

    Ints = NDArray[np.int64]


class NoWay(Exception):
    """An operation has no start left: there is no plan of the value asked for."""


@dataclass
class Mode:
    """A crew size that is worth choosing, with the starts it has left (indices)."""

    crew: int
    length: int
    starts: Ints


@dataclass
class Job:
    """One free operation and its window, in reference ticks, both ends included."""

    op: int
    axis: TickAxis
    begun: int | None  # when it was begun, if it was
    modes: list[Mode]
    start: tuple[int, int] = (-1, -1)  # not known before it was narrowed once
    finish: tuple[int, int] = (-1, -1)

    @property
    def has_length(self) -> bool:
        """Whether it takes any time."""
        return self.modes[0].length > 0

    def narrow(self, start: tuple[int, int], finish: tuple[int, int]) -> bool:
        """Keep the starts within bounds; says whether any was dropped."""
        if _holds(start, self.start) and _holds(finish, self.finish):
            return False
        ticks = self.axis.ticks
        before = sum(len(mode.starts) for mode in self.modes)
        for mode in self.modes:
            low, high = np.searchsorted(ticks, [start[0], start[1] + 1])
            if mode.length:
                shift = mode.length - 1
                last = np.searchsorted(ticks, [finish[0] - 1, finish[1]]) - shift
            else:
                last = np.array([finish[0], finish[1] + 1])
            low, high = max(low, last[0]), min(high, last[1])
            left, right = np.searchsorted(mode.starts, [low, high])
            mode.starts = mode.starts[left:right]
        self.modes = [mode for mode in self.modes if len(mode.starts)]
        if not self.modes:
            raise NoWay(self.op)
        starts = [ticks[mode.starts[[0, -1]]] for mode in self.modes]
        ends = [
            ticks[mode.starts[[0, -1]] + mode.length - 1] + 1 if mode.length else edge
            for mode, edge in zip(self.modes, starts, strict=True)
        ]
        self.start = int(min(s[0] for s in starts)), int(max(s[1] for s in starts))
        self.finish = int(min(e[0] for e in ends)), int(max(e[1] for e in ends))
        return sum(len(mode.starts) for mode in self.modes) < before

    def bounds(self, at_end: bool) -> tuple[int, int]:
        """Earliest and latest start or finish."""
        if at_end:
            return self.finish
        return self.start if self.begun is None else (self.begun, self.begun)


def _holds(outer: tuple[int, int], inner: tuple[int, int]) -> bool:
    return outer[0] <= inner[0] and inner[1] <= outer[1]


@dataclass
class Windows:
    """The free operations with their starts, and what their boats cannot avoid."""

    jobs: dict[int, Job] = field(default_factory=dict)
    least_tardy: dict[int, int] = field(default_factory=dict)  # days, by boat
    latest_finish: dict[int, int] = field(default_factory=dict)


Floor = tuple[frozenset[int], int]
"""Some boats, and weighted tardy days that they come to at least."""


def find_windows(
    setting: Setting, most: int | None, floors: Sequence[Floor] = ()
) -> Windows:
    """List the starts of every free operation.

    Parameters
    ----------
    most : int, optional
        What the weighted tardy days of the free boats may come to.
    floors : sequence of pairs, optional
        What is known of some of them: it leaves less for the others.

    Raises
    ------
    NoWay
        If there is no plan, or none of that value.
    """
    a = setting.a
    windows = Windows()
    windows.latest_finish = {b: _latest(setting, b, most) for b in setting.boats}
    for op in np.flatnonzero(setting.is_free).tolist():
        windows.jobs[op] = _job(setting, op, windows.latest_finish[int(a.boat_of[op])])
    _propagate(setting, windows)
    for boat in setting.boats:
        finish = boat_bounds(setting, windows, boat)[0]
        windows.least_tardy[boat] = tardy_days(a, boat, finish)
    weighted = {
        boat: int(a.boat_weight[boat]) * days
        for boat, days in windows.least_tardy.items()
    }
    for boat in windows.least_tardy:
        weight = int(a.boat_weight[boat])
        if most is None or weight == 0 or a.boat_due[boat] >= FAR:
            continue
        left = most - _least_of_others(weighted, boat, floors)
        if left < weighted[boat]:
            raise NoWay(boat)
        allowed = int(a.boat_due[boat]) + left // weight
        last = int(np.searchsorted(a.day_index, allowed, side="right")) - 1
        windows.latest_finish[boat] = min(last, windows.latest_finish[boat])
    _propagate(setting, windows)
    return windows


def _least_of_others(
    weighted: dict[int, int], boat: int, floors: Sequence[Floor]
) -> int:
    """Weighted tardy days that all free boats but one come to at least."""
    alone = sum(weighted.values()) - weighted[boat]
    known = [
        least + alone - sum(weighted[one] for one in boats)
        for boats, least in floors
        if boat not in boats
    ]
    return max([alone, *known])


def _latest(setting: Setting, boat: int, most: int | None) -> int:
    """Last finish of a boat if it alone may have all weighted tardy days."""
    a, latest = setting.a, int(setting.latest[boat])
    weight = int(a.boat_weight[boat])
    if most is None or most < 0 or weight == 0 or a.boat_due[boat] >= FAR:
        return latest
    allowed = int(a.boat_due[boat]) + most // weight
    return min(latest, int(np.searchsorted(a.day_index, allowed, side="right")) - 1)


def boat_bounds(setting: Setting, windows: Windows, boat: int) -> tuple[int, int]:
    """Earliest and latest finish of a boat, operations that stand included."""
    first, last = setting.a.boat_at[boat], setting.a.boat_at[boat + 1]
    low = high = 0
    for op in range(first, last):
        job = windows.jobs.get(op)
        own = job.finish if job else (int(setting.finish[op]),) * 2
        low, high = max(low, own[0]), max(high, own[1])
    return low, high


def _job(setting: Setting, op: int, latest: int) -> Job:
    a = setting.a
    begun = int(a.fixed_start[op]) if setting.is_begun(op) else None
    axis = setting.axis_of(op)
    crews = [0]
    if a.skill[op] >= 0:
        crews = list(range(int(a.crew_min[op]), int(a.crew_max[op]) + 1))
        if a.fixed_crew[op]:
            crews = [int(a.fixed_crew[op])]
    modes: list[Mode] = []
    for place, crew in enumerate(crews):
        offset = 0 if crew == 0 else crew - int(a.crew_min[op])
        length = int(a.length[a.length_at[op] + offset])
        if place and length == modes[-1].length:
            continue  # more people for nothing
        starts = _starts(setting, op, axis, (crew, length), latest)
        modes.append(Mode(crew, length, in_openings(setting, op, axis, starts)))
    job = Job(op, axis, begun, modes)
    earliest = int(a.earliest[op])
    job.narrow((earliest, a.ticks), (earliest, a.ticks))
    return job


def _starts(
    setting: Setting, op: int, axis: TickAxis, mode: tuple[int, int], latest: int
) -> Ints:
    """Starts at which shifts, people left over and stations allow an operation.

    `mode` is a crew and its length; none that would end after the `latest` finish.
    Those of operations that ask for the same are looked up once.
    """
    a, (crew, length) = setting.a, mode
    if length == 0:
        return np.arange(a.ticks, dtype=np.int64)
    demands = slice(int(a.demand_at[op]), int(a.demand_at[op + 1]))
    asked = int(a.skill[op]), int(a.leads[op]), int(a.one_go[op])
    stations, amounts = a.demand_station[demands], a.demand_amount[demands]
    room = stations.tobytes(), amounts.tobytes()
    key = id(axis), crew, length, asked, room
    if key not in setting.starts:
        setting.starts[key] = _all_starts(setting, op, axis, mode)
    starts: Ints = setting.starts[key]
    count = int(axis.before[min(latest, a.ticks)]) - length + 1
    return starts[: np.searchsorted(starts, count)]


def _all_starts(
    setting: Setting, op: int, axis: TickAxis, mode: tuple[int, int]
) -> Ints:
    """The same up to the end of the axis."""
    a, (crew, length) = setting.a, mode
    count = len(axis) - length + 1
    if count <= 0:
        return np.zeros(0, np.int64)
    starts = np.arange(count)
    fits = np.ones(count, np.bool_)
    positions = a.position_at[axis.ticks]
    if a.one_go[op]:
        fits &= axis.run_end[:count] >= starts + length
    if crew:
        skill, hands = int(a.skill[op]), setting.hands
        asked = [(setting.unit, hands.able, crew)]
        if a.leads[op]:
            asked.append((setting.leads, hands.leading, int(a.leads[op])))
        for counted, able, people in asked:
            left = setting.people[counted[:, skill] > 0][:, positions]
            missing = np.concatenate([[0], np.cumsum((left < people).any(axis=0))])
            fits &= missing[length : length + count] == missing[:count]
            if not setting.by_stretch:
                continue
            key = id(axis), able is hands.leading, skill, people, length
            if key not in setting.manned:
                setting.manned[key] = can_be_manned(
                    hands.away[able[:, skill]], axis, positions, (people, length), count
                )
            fits &= setting.manned[key]
    for k in range(a.demand_at[op], a.demand_at[op + 1]):
        full = setting.room[a.demand_station[k]] < a.demand_amount[k]
        missing = np.concatenate([[0], np.cumsum(full)])
        ends = positions[length - 1 : length - 1 + count]
        fits &= missing[ends + 1] == missing[positions[:count]]
    return np.flatnonzero(fits)


def _propagate(setting: Setting, windows: Windows) -> None:
    """Carry waits forward and backward until no start is dropped any more."""
    ops = sorted(windows.jobs)
    changed = True
    while changed:
        changed = False
        for op in (*ops, *reversed(ops)):
            changed |= _narrow_by_waits(setting, windows, op)


def _narrow_by_waits(setting: Setting, windows: Windows, op: int) -> bool:
    a = setting.a
    job = windows.jobs[op]
    latest = windows.latest_finish.get(int(a.boat_of[op]), a.ticks)
    low = {False: 0, True: 0}
    high = {False: latest, True: latest}
    for k in range(a.wait_at[op], a.wait_at[op + 1]):
        wait = a.wait_list[k]
        at_end = bool(a.wait_after_end[wait])
        if job.begun is not None and not at_end:
            continue
        since = instants(setting, windows, a.wait_before[wait], a.wait_before_end[wait])
        clock = WaitClock(setting, wait)
        low[at_end] = max(low[at_end], clock.earliest(since[0]))
        high[at_end] = min(high[at_end], clock.latest(since[1]))
    for k in range(a.successor_at[op], a.successor_at[op + 1]):
        wait = a.successor_list[k]
        at_end = bool(a.wait_before_end[wait])
        if (job.begun is not None and not at_end) or not counts(setting, wait):
            continue
        until = instants(setting, windows, a.wait_after[wait], a.wait_after_end[wait])
        clock = WaitClock(setting, wait)
        low[at_end] = max(low[at_end], clock.latest_begin_floor(until[0]))
        high[at_end] = min(high[at_end], clock.earliest_begin_ceiling(until[1]))
    return job.narrow((low[False], high[False]), (low[True], high[True]))


def counts(setting: Setting, wait: int) -> bool:
    """Whether a wait binds: not into what is done, nor into a start that is a fact."""
    a = setting.a
    after = a.wait_after[wait]
    if a.binding[after] == STARTED and not a.wait_after_end[wait]:
        return False
    return bool(a.binding[after] != 1)


def instants(
    setting: Setting, windows: Windows, op: int, at_end: int
) -> tuple[int, int]:
    """Earliest and latest start or finish of an operation, free or not."""
    job = windows.jobs.get(int(op))
    if job is not None:
        return job.bounds(bool(at_end))
    return (int(setting.finish[op] if at_end else setting.start[op]),) * 2


class WaitClock:
    """The limits of one wait on its own clock, exact to the tick."""

    def __init__(self, setting: Setting, wait: int) -> None:
        a = setting.a
        self.least = int(a.wait_min[wait])
        self.most = int(a.wait_max[wait])
        self.end = a.ticks
        self.cure = int(a.wait_cure[wait])
        self.cure_end = a.cure_end[self.cure] if self.cure >= 0 else None
        self.cure_begin = a.cure_begin[self.cure] if self.cure >= 0 else None
        track = int(a.wait_track[wait])
        self.axis = None if track < 0 else setting.axes.tracks[track]

    def earliest(self, since: int) -> int:
        """First tick at which a wait from `since` has lasted its minimum."""
        if self.cure_end is not None:
            return int(self.cure_end[min(since, self.end)])
        if self.axis is None or self.least == 0:
            return since + self.least
        last = int(self.axis.before[since]) + self.least - 1
        return int(self.axis.ticks[last]) + 1 if last < len(self.axis) else int(FAR)

    def latest(self, since: int) -> int:
        """Last tick at which a wait from `since` keeps its maximum."""
        if self.most < 0:
            return int(FAR)
        if self.axis is None:
            return since + self.most
        last = int(self.axis.before[since]) + self.most
        return int(self.axis.ticks[last]) if last < len(self.axis) else int(FAR)

    def earliest_begin_ceiling(self, until: int) -> int:
        """Last tick from which a wait until `until` lasts its minimum; -1 if none."""
        if self.cure_begin is not None:
            return int(self.cure_begin[max(0, min(until, self.end))])
        if self.axis is None or self.least == 0:
            return until - self.least
        first = int(self.axis.before[min(until, self.end)]) - self.least
        return int(self.axis.ticks[first]) if first >= 0 else -1

    def latest_begin_floor(self, until: int) -> int:
        """First tick from which a wait until `until` keeps its maximum."""
        if self.most < 0:
            return 0
        if self.axis is None:
            return max(0, until - self.most)
        first = int(self.axis.before[min(until, self.end)]) - self.most - 1
        return int(self.axis.ticks[first]) + 1 if first >= 0 else 0
