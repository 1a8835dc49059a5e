"""The cheapest schedule of each boat at given prices: compiled dynamic programming.

Positions of the work axis are instants: a start by the position it begins at, a finish
by the position after the last one worked. A grid of several positions to a cell rounds
finishes down, which only widens the choice.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from scheduler.bounding.forest import F64, Forest, TableF64
from scheduler.compiling.arrays import I32, Arrays, TableI32
from scheduler.decoding.bundle import Bundle
from scheduler.decoding.decoder import tardy_days
from scheduler.decoding.kernel import inlined, kernel

NEVER = 1e18


@dataclass(frozen=True, eq=False)
class Prices(Bundle):
    """Sums of prices from the beginning of the axis, so that a span is a difference."""

    step: int  # positions to a cell, and open ticks from one start tried to the next
    latest: TableI32  # the forest's, by cells
    labor: TableF64  # [labor rows, open ticks + 1] of one person
    stations: TableF64  # [stations, positions + 1] of one unit
    at_start: TableF64  # [sets, positions + 1] up to a start
    at_finish: TableF64  # [sets, positions + 1] up to a finish


@dataclass(frozen=True, eq=False)
class Scratch(Bundle):
    """Room for one boat, and what was chosen for all of them."""

    by_finish: TableF64  # [operations of a boat, cells] cheapest up to a finish
    by_start: TableF64
    finish_index: TableI32  # first open index that gives it
    finish_crew: TableI32
    start_index: TableI32
    start_crew: TableI32
    cell: I32  # by operation of a boat
    value: F64  # by boat
    index: I32  # by operation: first open index, -1 for none; position if no length
    crew: I32
    start: I32  # reference ticks
    finish: I32


def new_scratch(a: Arrays, step: int) -> Scratch:
    """Allocate scratch space for a grid."""
    most = int(np.diff(a.boat_at).max(initial=1))
    positions, operations = len(a.ref_of), len(a.boat_of)
    cells = (positions - 1) // step + 1

    def table(kind: type) -> np.ndarray:
        return np.zeros((most, cells), kind)

    return Scratch(
        by_finish=table(np.float64),
        by_start=table(np.float64),
        finish_index=table(np.int32),
        finish_crew=table(np.int32),
        start_index=table(np.int32),
        start_crew=table(np.int32),
        cell=np.zeros(most, np.int32),
        value=np.zeros(len(a.boat_due)),
        index=np.full(operations, -1, np.int32),
        crew=np.zeros(operations, np.int32),
        start=np.zeros(operations, np.int32),
        finish=np.zeros(operations, np.int32),
    )


@kernel
def price_boats(a: Arrays, f: Forest, p: Prices, s: Scratch) -> None:
    """Find the cheapest schedule of every boat of the forest."""
    for k in range(len(f.boats)):
        boat = f.boats[k]
        for op in range(a.boat_at[boat], a.boat_at[boat + 1]):
            if f.is_free[op]:
                price_operation(a, f, p, s, op)
        choose_schedule(a, f, p, s, boat)


@kernel
def price_operation(a: Arrays, f: Forest, p: Prices, s: Scratch, op: int) -> None:
    """Cheapest cost of an operation and all that leads to it, by finish and start."""
    row = op - a.boat_at[a.boat_of[op]]
    cells = s.by_finish.shape[1]
    for cell in range(cells):
        s.by_finish[row, cell] = NEVER
        s.by_start[row, cell] = NEVER
    if a.length[a.length_at[op]] == 0:
        for k in range(f.floor[op], f.positions + 1):
            cost = paid_by_start(a, f, p, s, op, k) + paid_by_finish(a, f, p, s, op, k)
            lower(s, row, k // p.step, cost, k, 0)
    else:
        place_crews(a, f, p, s, op)
    for cell in range(1, cells):
        if s.by_finish[row, cell - 1] <= s.by_finish[row, cell]:
            s.by_finish[row, cell] = s.by_finish[row, cell - 1]
            s.finish_index[row, cell] = s.finish_index[row, cell - 1]
            s.finish_crew[row, cell] = s.finish_crew[row, cell - 1]
        if f.needs_start[op] and s.by_start[row, cell - 1] <= s.by_start[row, cell]:
            s.by_start[row, cell] = s.by_start[row, cell - 1]
            s.start_index[row, cell] = s.start_index[row, cell - 1]
            s.start_crew[row, cell] = s.start_crew[row, cell - 1]


@kernel
def lower(s: Scratch, row: int, cell: int, cost: float, index: int, crew: int) -> None:
    """Note a finish if it is cheaper."""
    if cost < s.by_finish[row, cell]:
        s.by_finish[row, cell] = cost
        s.finish_index[row, cell] = index
        s.finish_crew[row, cell] = crew


@inlined
def paid_by_start(
    a: Arrays, f: Forest, p: Prices, s: Scratch, op: int, at: int
) -> float:
    """What leads to a start at a position, and what begins there."""
    paid = 0.0
    for term in range(f.term_at[op], f.term_at[op + 1]):
        if f.term_to_end[term]:
            continue
        if f.term_sign[term] < 0:
            paid -= p.at_start[f.term_set[term], at]
        elif a.length[a.length_at[op]] > 0:
            paid += p.at_start[f.term_set[term], at]
        else:
            paid += p.at_finish[f.term_set[term], at]
    if a.length[a.length_at[op]] > 0:
        for k in range(a.demand_at[op], a.demand_at[op + 1]):
            paid -= a.demand_amount[k] * p.stations[a.demand_station[k], at]
    return paid + children_cost(a, f, p, s, op, at, 0)


@inlined
def paid_by_finish(
    a: Arrays, f: Forest, p: Prices, s: Scratch, op: int, at: int
) -> float:
    """What leads to a finish at a position, and what ends there."""
    paid = 0.0
    for term in range(f.term_at[op], f.term_at[op + 1]):
        if f.term_to_end[term]:
            paid += p.at_finish[f.term_set[term], at]
    if a.length[a.length_at[op]] > 0:
        for k in range(a.demand_at[op], a.demand_at[op + 1]):
            paid += a.demand_amount[k] * p.stations[a.demand_station[k], at]
    return paid + children_cost(a, f, p, s, op, at, 1)


@inlined
def children_cost(
    a: Arrays, f: Forest, p: Prices, s: Scratch, op: int, at: int, to_end: int
) -> float:
    """Cheapest cost of what must precede a start (or finish) at a position."""
    paid = 0.0
    base = a.boat_at[a.boat_of[op]]
    for k in range(f.child_at[op], f.child_at[op + 1]):
        if f.child_to_end[k] != to_end:
            continue
        cell = p.latest[f.child_row[k], at]
        if cell < 0:
            return NEVER
        if f.child_from_start[k]:
            paid += s.by_start[f.child_op[k] - base, cell]
        else:
            paid += s.by_finish[f.child_op[k] - base, cell]
    return paid


@kernel
def place_crews(a: Arrays, f: Forest, p: Prices, s: Scratch, op: int) -> None:
    """Try starts with every crew."""
    base, end = a.track_at[a.track[op]], a.track_at[a.track[op] + 1]
    row = op - a.boat_at[a.boat_of[op]]
    labor = f.labor_row[op]
    shortest = a.length[a.length_at[op + 1] - 1]
    x = f.head[op]
    while x + shortest <= end - base:
        run = a.run_end[base + x]
        if a.one_go[op] and x + shortest > run:
            x = run
            continue
        begin = a.open_position[base + x]
        before = paid_by_start(a, f, p, s, op, begin)
        if before < NEVER:
            for k in range(a.length_at[op], a.length_at[op + 1]):
                length = a.length[k]
                if x + length > end - base or (a.one_go[op] and x + length > run):
                    continue
                finish = a.open_position[base + x + length - 1] + 1
                if finish < f.floor[op]:
                    continue
                crew = a.crew_min[op] + k - a.length_at[op]
                cost = before + paid_by_finish(a, f, p, s, op, finish)
                if labor >= 0:
                    cost += crew * (p.labor[labor, x + length] - p.labor[labor, x])
                lower(s, row, finish // p.step, cost, x, crew)
                if f.needs_start[op] and cost < s.by_start[row, begin // p.step]:
                    s.by_start[row, begin // p.step] = cost
                    s.start_index[row, begin // p.step] = x
                    s.start_crew[row, begin // p.step] = crew
        x = min(x + p.step, run) if x + 1 < run else x + 1


@kernel
def choose_schedule(a: Arrays, f: Forest, p: Prices, s: Scratch, boat: int) -> None:
    """Take the cheapest finish of a boat, and go back to where everything stands."""
    first, last = a.boat_at[boat], a.boat_at[boat + 1]
    best, at = NEVER, 0
    for cell in range(s.by_finish.shape[1]):
        position = cell * p.step
        finish = a.ref_of[position - 1] + 1 if position > 0 else 0
        days = max(f.least_late[boat], tardy_days(a, boat, finish))
        cost = float(a.boat_weight[boat] * days)
        for op in range(first, last):
            if f.is_free[op] and f.parent[op] < 0:
                cost += s.by_finish[op - first, cell]
        if cost < best:
            best, at = cost, cell
    s.value[boat] = best
    if best >= NEVER:
        s.value[boat] = -1.0
        return
    for op in range(last - 1, first - 1, -1):
        if f.is_free[op]:
            if f.parent[op] < 0:
                s.cell[op - first] = at
            stand(a, f, p, s, op)


@kernel
def stand(a: Arrays, f: Forest, p: Prices, s: Scratch, op: int) -> None:
    """Note where an operation stands, and up to where its children may."""
    base = a.boat_at[a.boat_of[op]]
    row = op - base
    cell = s.cell[row]
    if f.needs_start[op] and f.parent[op] >= 0:
        index, crew = s.start_index[row, cell], s.start_crew[row, cell]
    else:
        index, crew = s.finish_index[row, cell], s.finish_crew[row, cell]
    s.index[op], s.crew[op] = index, crew
    if a.length[a.length_at[op]] == 0:
        begin, finish = index, index
    else:
        track = a.track_at[a.track[op]]
        length = a.length[a.length_at[op] + crew - a.crew_min[op]]
        begin = a.open_position[track + index]
        finish = a.open_position[track + index + length - 1] + 1
    s.start[op] = a.ref_of[begin]
    s.finish[op] = a.ref_of[finish - 1] + 1 if finish > 0 else 0
    for k in range(f.child_at[op], f.child_at[op + 1]):
        position = finish if f.child_to_end[k] else begin
        s.cell[f.child_op[k] - base] = p.latest[f.child_row[k], position]


@kernel
def count_use(
    a: Arrays,
    f: Forest,
    s: Scratch,
    bucket_of: I32,
    skills: TableF64,
    stations: TableF64,
) -> None:
    """Sum person-ticks by skill and bucket, and units by station and bucket."""
    for k in range(len(f.boats)):
        boat = f.boats[k]
        for op in range(a.boat_at[boat], a.boat_at[boat + 1]):
            length = a.length[a.length_at[op]]
            if not f.is_free[op] or s.value[boat] < 0 or length == 0:
                continue
            if a.skill[op] >= 0:
                length = a.length[a.length_at[op] + s.crew[op] - a.crew_min[op]]
            base = a.track_at[a.track[op]] + s.index[op]
            if a.skill[op] >= 0:
                for x in range(base, base + length):
                    bucket = bucket_of[a.open_position[x]]
                    if bucket >= 0 and not a.in_break[x]:
                        skills[a.skill[op], bucket] += s.crew[op]
            for demand in range(a.demand_at[op], a.demand_at[op + 1]):
                station, amount = a.demand_station[demand], a.demand_amount[demand]
                first, last = a.open_position[base], a.open_position[base + length - 1]
                for position in range(first, last + 1):
                    if bucket_of[position] >= 0:
                        stations[station, bucket_of[position]] += amount
