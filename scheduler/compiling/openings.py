"""Slots in which operations must start, as tables that compiled loops read.

An *opening* is one slot: an unbroken open span of a calendar of slots.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from scheduler.compiling.arrays import FAR

if TYPE_CHECKING:
    from scheduler.problem import Problem


def compile_openings(problem: Problem) -> dict[str, Any]:
    """Which operations need a slot, and the openings of every calendar of slots.

    Openings are numbered from 1 on through all calendars; 0 is outside of any.
    """
    ticks = problem.axis.ticks
    used = sorted({one.slots for one in problem.operations if one.slots})
    row_of = {name: row for row, name in enumerate(used)}
    calendars = {one.id: one for one in problem.calendars}
    number = np.zeros((len(used), ticks + 1), np.int32)
    following = np.full((len(used), ticks + 1), FAR, np.int32)
    end, room = [0], [int(FAR)]
    for row, name in enumerate(used):
        for first, last in calendars[name].open:
            number[row, first:last] = len(end)
            end.append(last)
            room.append(calendars[name].starts_per_slot or int(FAR))
        at = np.where(number[row] > 0, np.arange(ticks + 1), int(FAR))
        following[row] = np.minimum.accumulate(at[::-1])[::-1]
    members = [
        [op for op, one in enumerate(problem.operations) if one.slots == name]
        for name in used
    ]
    rows = [row_of[one.slots] if one.slots else -1 for one in problem.operations]
    sizes = [len(own) for own in members]
    return {
        "opening_row": np.array(rows, np.int32),
        "opening_number": number,
        "opening_next": following,
        "opening_end": np.array(end, np.int32),
        "opening_room": np.array(room, np.int32),
        "opening_at": np.concatenate([[0], np.cumsum(sizes)]).astype(np.int32),
        "opening_list": np.array([op for own in members for op in own], np.int32),
    }
