"""Slots in the constraint model: starts that are in one, and how many are in each."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING

import numpy as np

from scheduler.compiling.arrays import DONE, FAR, STARTED

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from scheduler.compiling.arrays import Arrays
    from scheduler.cp_model.axes import TickAxis
    from scheduler.cp_model.draft import Draft
    from scheduler.cp_model.setting import Setting
    from scheduler.cp_model.work import Work

    Ints = NDArray[np.int64]


def in_openings(setting: Setting, op: int, axis: TickAxis, starts: Ints) -> Ints:
    """Keep the starts (indices on an axis) that lie in a slot, where one is needed."""
    row = setting.a.opening_row[op]
    if row < 0 or setting.is_begun(op):
        return starts
    inside: Ints = starts[setting.a.opening_number[row, axis.ticks[starts]] > 0]
    return inside


def begun_openings(a: Arrays, row: int) -> Ints:
    """For each tick, how many slots of a calendar have begun by then."""
    number = a.opening_number[row].astype(np.int64)
    begins = (number > 0) & (np.diff(number, prepend=0) != 0)
    found: Ints = np.cumsum(begins)
    return found


def add_openings(draft: Draft, setting: Setting, works: dict[int, Work]) -> None:
    """Let no more operations start in a slot than may."""
    a = setting.a
    for row in range(len(a.opening_at) - 1):
        own = a.opening_list[a.opening_at[row] : a.opening_at[row + 1]].tolist()
        free = [works[op] for op in own if op in works and works[op].job.begun is None]
        numbers = np.unique(a.opening_number[row])
        room = int(a.opening_room[numbers[-1]]) if len(numbers) else int(FAR)
        if not free or room >= len(own):
            continue
        begun = setting.openings[row]
        intervals = []
        for work in free:
            at = work.start.of(begun).expr
            intervals.append(draft.model.new_fixed_size_interval_var(at, 1, ""))
        standing = sorted(
            int(begun[setting.start[op]])
            for op in own
            if op not in works
            and not setting.is_left_out[op]
            and a.binding[op] not in (DONE, STARTED)
            and a.opening_number[row, setting.start[op]] > 0
        )
        demands = [1] * len(free)
        for place, taken in groupby(standing):
            intervals.append(draft.model.new_fixed_size_interval_var(place, 1, ""))
            demands.append(min(room, len(list(taken))))
        draft.model.add_cumulative(intervals, demands, room)
