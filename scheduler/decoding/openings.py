"""Whether an operation starts in a slot that has room for it (compiled)."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scheduler.compiling.arrays import DONE, FAR, STARTED, Arrays
from scheduler.decoding.kernel import kernel

if TYPE_CHECKING:
    from scheduler.decoding.placing import State


@kernel
def opening_miss(a: Arrays, s: State, op: int, start: int) -> int:
    """Return -1 if an operation may start at a tick, else a later tick.

    What has begun needs no slot any more and takes none.
    """
    row = a.opening_row[op]
    if row < 0 or a.binding[op] == STARTED:
        return -1
    if start >= a.ticks:
        return int(FAR)
    later = a.opening_next[row, start]
    if later > start:
        return int(later)
    opening = a.opening_number[row, start]
    left = a.opening_room[opening]
    for k in range(a.opening_at[row], a.opening_at[row + 1]):
        other = a.opening_list[k]
        begun = a.binding[other] == DONE or a.binding[other] == STARTED
        if other == op or begun or not s.placed[other]:
            continue
        if a.opening_number[row, min(s.start[other], a.ticks)] == opening:
            left -= 1
    return -1 if left > 0 else int(a.opening_end[opening])
