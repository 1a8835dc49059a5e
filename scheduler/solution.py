"""A plan as flat arrays, whoever made it: where each operation and hold stands."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from scheduler.decoding.decoder import VALUES, due_positions, evaluate

if TYPE_CHECKING:
    from scheduler.compiling.arrays import I32, Arrays, TableU64
    from scheduler.decoding.placing import State


@dataclass(frozen=True)
class Solution:
    """Starts, crews and slots; instants are reference ticks.

    `index` is the first worked open index on the operation's track and `length` the
    number of worked ticks (0 for done and zero-length operations). `hold_slot` is -1
    for holds that are over. `share` is the crew of each stretch of work by kind of
    people, all zero where another than the decoder made the plan. `values`: weighted
    tardy days, weighted tardy open ticks, work in process in rate-ticks.
    """

    start: I32
    finish: I32
    crew: I32
    index: I32
    length: I32
    hold_slot: I32
    hold_start: I32
    hold_finish: I32
    share: TableU64
    values: tuple[int, ...]


def snapshot(a: Arrays, s: State) -> Solution:
    """Copy a complete state into a solution."""
    value = np.zeros(VALUES, np.int64)
    evaluate(a, s, due_positions(a), value)
    hold_finish = np.zeros_like(s.hold_start)
    for slot in range(len(s.taken_count)):
        for k in range(s.taken_count[slot]):
            if s.taken_by[slot, k] >= 0:
                hold_finish[s.taken_by[slot, k]] = s.taken_to[slot, k]
    return Solution(
        start=s.start.copy(),
        finish=s.finish.copy(),
        crew=s.crew.copy(),
        index=s.begin.copy(),
        length=s.length.copy(),
        hold_slot=s.hold_slot.copy(),
        hold_start=s.hold_start.copy(),
        hold_finish=hold_finish,
        share=s.share.T.copy(),
        values=tuple(int(one) for one in value),
    )
