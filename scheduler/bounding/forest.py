"""Each boat's routing as a tree, so that its cheapest schedule can be found exactly.

An operation keeps one of its followers and forgets the others; a boat's finish is the
root. What is forgotten only widens the choice, so the cheapest schedule of the tree
costs at most what the boat costs in any plan. Earliest starts and finishes, which come
from the whole routing, stay.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any

import numpy as np
from numpy.typing import NDArray

from scheduler.bounding.supply import given_ends, is_given
from scheduler.bounds import earliest_state
from scheduler.compiling.arrays import FAR, FREE, I8, I32, STARTED, TableI32
from scheduler.decoding.bundle import Bundle
from scheduler.decoding.decoder import boat_finish
from scheduler.decoding.waits import lower_bounds

if TYPE_CHECKING:
    from scheduler.bounding.supply import Supply
    from scheduler.compiling.arrays import Arrays
    from scheduler.decoding.placing import Choices, State

F64 = NDArray[np.float64]
TableF64 = Annotated[NDArray[np.float64], 2]


@dataclass(frozen=True, eq=False)
class Forest(Bundle):
    """Trees of the boats that can be late, with what is priced at each operation."""

    positions: int
    boats: I32  # those with a due day and a weight, and work left to decide
    is_free: I8  # by operation
    head: I32  # first open index of its track at which it can begin
    floor: I32  # least position index of its finish
    parent: I32  # the follower it keeps; -1: the boat's finish
    child_at: I32
    child_op: I32
    child_row: I32  # row of `latest`
    child_from_start: I8  # 1: the wait is counted from the child's start
    child_to_end: I8  # 1: to the end of the operation
    latest: TableI32  # [rows, positions + 1] latest position index of the child
    needs_start: I8  # 1: its parent asks for its start
    least_late: I32  # by boat: days late even alone in an empty yard
    labor_row: I32  # row of the labor prices; -1: no people
    term_at: I32  # holds that an operation begins or ends
    term_set: I32
    term_sign: I8  # -1: begins, 1: ends
    term_to_end: I8  # 1: at the end of the operation, 0: at its start


@dataclass(frozen=True)
class Trees:
    """The forest, and what belongs to it outside compiled code."""

    forest: Forest
    labor_rows: tuple[tuple[int, int], ...]  # track and skill
    priced_holds: NDArray[np.int64]
    hold_begin: NDArray[np.int64]  # given start of a priced hold; -1: open
    hold_end: NDArray[np.int64]
    fixed_cost: int  # weighted late days of boats that are not in the forest


def grow_trees(a: Arrays, supply: Supply, state: State) -> Trees:
    """Choose the trees; `state` holds the facts."""
    early, nothing = earliest_state(a)
    boats = len(a.boat_due)
    alone = np.array([boat_finish(a, early, boat) for boat in range(boats)])
    late = np.maximum(
        0, a.day_index[np.minimum(alone, a.ticks)] - a.boat_due.astype(np.int64)
    )
    late[a.boat_due >= FAR] = 0
    open_ = (a.boat_due < FAR) & (a.boat_weight > 0) & (a.boat_fixed == 0)
    free = np.array([not is_given(a, op) for op in range(len(a.boat_of))])
    free &= open_[a.boat_of]
    reach = _reach(a)
    parent, wait_of = _choose_parents(a, supply, free, reach)
    holds = [
        hold
        for hold in np.flatnonzero(supply.set_of_hold >= 0).tolist()
        if _can_price(a, state, hold, free, parent)
    ]
    rows, labor_row = _labor_rows(a, free)
    latest, children = _children(a, parent, wait_of)
    ends = [given_ends(a, state, hold) for hold in holds]
    head, floor = _heads(a, early, nothing, free)
    return Trees(
        forest=Forest(
            positions=len(a.ref_of) - 1,
            boats=np.flatnonzero(open_).astype(np.int32),
            is_free=free.astype(np.int8),
            head=head,
            floor=floor,
            parent=parent,
            **children,
            latest=latest,
            least_late=late.astype(np.int32),
            labor_row=labor_row,
            **_terms(a, supply, holds, ends),
        ),
        labor_rows=rows,
        priced_holds=np.array(holds, np.int64),
        hold_begin=np.array(
            [-1 if b is None else max(b, 0) for b, _ in ends], np.int64
        ),
        hold_end=np.array([-1 if e is None else max(e, 0) for _, e in ends], np.int64),
        fixed_cost=int((late * a.boat_weight)[~open_].sum()),
    )


def _reach(a: Arrays) -> list[int]:
    """Per operation, as bits from its boat's first on: itself and all that follow."""
    bits = [0] * len(a.boat_of)
    for op in range(len(bits) - 1, -1, -1):
        base = int(a.boat_at[a.boat_of[op]])
        bits[op] = 1 << (op - base)
        for wait in a.successor_list[a.successor_at[op] : a.successor_at[op + 1]]:
            bits[op] |= bits[a.wait_after[wait]]
    return bits


def _choose_parents(
    a: Arrays, supply: Supply, free: NDArray[np.bool_], reach: list[int]
) -> tuple[I32, NDArray[np.int64]]:
    """The follower that each operation keeps, and by which wait; -1 for none.

    First one that leads to the ends of the molds and places held meanwhile, as only
    then their occupation is priced; among those the one with most work behind it.
    """
    tail = np.zeros(len(free), np.int64)
    parent = np.full(len(free), -1, np.int32)
    wait_of = np.full(len(free), -1, np.int64)
    holds_of: dict[int, list[tuple[int, int]]] = {}
    for hold in np.flatnonzero(supply.set_of_hold >= 0).tolist():
        first, last = int(a.hold_from[hold]), int(a.hold_to[hold])
        holds_of.setdefault(int(a.boat_of[first]), []).append((first, last))
    for op in range(len(free) - 1, -1, -1):
        boat = int(a.boat_of[op])
        base, best = int(a.boat_at[boat]), (-1, -1)
        shortest = int(a.length[a.length_at[op] : a.length_at[op + 1]].min())
        tail[op] = shortest
        for wait in a.successor_list[a.successor_at[op] : a.successor_at[op + 1]]:
            after = int(a.wait_after[wait])
            if not _can_keep(a, free, int(wait)):
                continue
            leads = sum(
                reach[first] >> (op - base) & reach[after] >> (last - base) & 1
                for first, last in holds_of.get(boat, ())
                if last != op
            )
            behind = int(a.wait_min[wait]) + int(tail[after])
            tail[op] = max(tail[op], shortest + behind)
            if (leads, behind) > best:
                best = leads, behind
                parent[op], wait_of[op] = after, wait
    return parent, wait_of


def _can_keep(a: Arrays, free: NDArray[np.bool_], wait: int) -> bool:
    """Whether a wait lies between two operations that are free at its ends."""
    before, after = int(a.wait_before[wait]), int(a.wait_after[wait])
    if not (free[before] and free[after]) or a.boat_of[before] != a.boat_of[after]:
        return False
    begun = a.binding[before] == STARTED and not a.wait_before_end[wait]
    return not (begun or (a.binding[after] == STARTED and not a.wait_after_end[wait]))


def _can_price(
    a: Arrays,
    state: State,
    hold: int,
    free: NDArray[np.bool_],
    parent: I32,
) -> bool:
    """Whether the tree keeps a hold's end after its begin, so that it has a length."""
    begin, end = given_ends(a, state, hold)
    first, last = int(a.hold_from[hold]), int(a.hold_to[hold])
    if end is not None or not free[last]:
        return False
    if begin is not None:
        return True
    while first >= 0 and first != last:
        first = int(parent[first])
    return first == last and bool(a.binding[a.hold_from[hold]] == FREE)


def _labor_rows(
    a: Arrays, free: NDArray[np.bool_]
) -> tuple[tuple[tuple[int, int], ...], I32]:
    pairs = sorted(
        {
            (int(a.track[op]), int(a.skill[op]))
            for op in np.flatnonzero(free & (a.skill >= 0))
        }
    )
    index = {pair: row for row, pair in enumerate(pairs)}
    rows = [
        index.get((int(track), int(skill)), -1)
        for track, skill in zip(a.track, a.skill, strict=True)
    ]
    return tuple(pairs), np.array(rows, np.int32)


def _heads(
    a: Arrays, early: State, nothing: Choices, free: NDArray[np.bool_]
) -> tuple[I32, I32]:
    """First open index and least finish of each operation, alone in an empty yard."""
    head = np.zeros(len(free), np.int32)
    floor = np.zeros(len(free), np.int32)
    for op in np.flatnonzero(free).tolist():
        start, finish = lower_bounds(a, early, nothing, op)
        track = a.track[op]
        head[op] = a.open_index[track, a.position_at[min(max(start, 0), a.ticks)]]
        if a.length[a.length_at[op]] == 0:
            floor[op] = a.position_at[min(max(start, finish, 0), a.ticks)]
        elif 0 < finish <= a.ticks:
            floor[op] = a.position_at[finish - 1] + 1
        elif finish > a.ticks:
            floor[op] = len(a.ref_of) + 1  # no such finish on this axis
    return head, floor


def _children(
    a: Arrays, parent: I32, wait_of: NDArray[np.int64]
) -> tuple[NDArray[np.int32], dict[str, Any]]:
    """Children by parent, and a row of latest positions for each kind of wait."""
    operations = len(parent)
    order = np.argsort(parent, kind="stable")
    order = order[parent[order] >= 0].astype(np.int32)
    rows: dict[tuple[int, ...], int] = {}
    tables: list[NDArray[np.int32]] = []
    child_row, from_start, to_end = [], [], []
    needs_start = np.zeros(operations, np.int8)
    for op in order.tolist():
        wait = int(wait_of[op])
        start = not a.wait_before_end[wait] and a.length[a.length_at[op]] > 0
        end = bool(a.wait_after_end[wait])
        key = (
            int(a.wait_min[wait]),
            int(a.wait_track[wait]),
            int(a.wait_cure[wait]),
            int(start),
            int(end),
        )
        if key not in rows:
            rows[key] = len(tables)
            tables.append(_latest_positions(a, wait, start, end))
        child_row.append(rows[key])
        from_start.append(start)
        to_end.append(end)
        needs_start[op] = start
    counts = np.bincount(parent[order], minlength=operations)
    table = np.stack(tables or [np.zeros(len(a.ref_of), np.int32)])
    return table, {
        "child_at": np.concatenate([[0], np.cumsum(counts)]).astype(np.int32),
        "child_op": order,
        "child_row": np.array(child_row, np.int32),
        "child_from_start": np.array(from_start, np.int8),
        "child_to_end": np.array(to_end, np.int8),
        "needs_start": needs_start,
    }


def _latest_positions(
    a: Arrays, wait: int, from_start: bool, to_end: bool
) -> NDArray[np.int32]:
    """For each instant of a follower the latest one of what precedes it; -1: none.

    Starts are counted by the position they begin at, finishes by the position after
    the last one worked.
    """
    starts = a.ref_of.astype(np.int64)
    finishes = np.concatenate([[0], starts[:-1] + 1])
    since = starts if from_start else finishes
    ready = _earliest_after(a, wait, np.minimum(since, a.ticks))
    until = finishes if to_end else starts
    found = np.searchsorted(ready, until, side="right") - 1
    return found.astype(np.int32)


def _earliest_after(
    a: Arrays, wait: int, since: NDArray[np.int64]
) -> NDArray[np.int64]:
    """First ticks at which a wait has lasted its minimum (as `wait_earliest`)."""
    cure, track = int(a.wait_cure[wait]), int(a.wait_track[wait])
    least = int(a.wait_min[wait])
    if cure >= 0:
        ends: NDArray[np.int64] = a.cure_end[cure, since].astype(np.int64)
        return ends
    if track < 0 or least == 0:
        return since + least
    base, opens = int(a.track_at[track]), int(a.track_at[track + 1])
    last = a.open_index[track, a.position_at[since]].astype(np.int64) + least - 1
    out = np.full(len(since), int(FAR), np.int64)
    fits = last < opens - base
    out[fits] = a.ref_of[a.open_position[base + last[fits]]] + 1
    return out


def _terms(
    a: Arrays,
    supply: Supply,
    holds: list[int],
    ends: list[tuple[int | None, int | None]],
) -> dict[str, Any]:
    """What begins and ends with each operation, of the holds that are priced."""
    rows: list[list[tuple[int, int, int]]] = [[] for _ in a.boat_of]
    for hold, (begin, _) in zip(holds, ends, strict=True):
        one = int(supply.set_of_hold[hold])
        if begin is None:
            rows[a.hold_from[hold]].append((one, -1, 0))
        rows[a.hold_to[hold]].append((one, 1, int(a.hold_to_end[hold])))
    flat = [term for row in rows for term in row]
    return {
        "term_at": np.concatenate([[0], np.cumsum([len(row) for row in rows])]).astype(
            np.int32
        ),
        "term_set": np.array([one[0] for one in flat], np.int32),
        "term_sign": np.array([one[1] for one in flat], np.int8),
        "term_to_end": np.array([one[2] for one in flat], np.int8),
    }
