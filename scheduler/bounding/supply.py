"""What people, stations, molds and places can give, by resource and stretch of days.

Each row is a sum over ticks of something that no plan exceeds at any tick, so no plan
exceeds the sum. Committed work is taken out first.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from scheduler.compiling.arrays import DONE, LANE_BITS, LANES, PINNED, STARTED
from scheduler.decoding.lanes import LANE

if TYPE_CHECKING:
    from scheduler.compiling.arrays import Arrays
    from scheduler.compiling.compile import Compilation
    from scheduler.decoding.placing import State

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True)
class Supply:
    """Capacity by resource and bucket, and who counts where.

    Rows are the subsets of skills (person-ticks), then the stations (units times
    ticks of the work axis), then the groups of slots (slots times ticks of the wall
    clock). Buckets are stretches of whole days from now on.
    """

    names: tuple[str, ...]  # by row, in words of the yard
    capacity: Floats  # [rows, buckets]
    edges: Ints  # [buckets + 1] reference ticks; the first is now
    bucket_of: Ints  # by work-axis position; -1 before now
    skills: Floats  # [rows, skills] 1 where a row counts a skill
    stations: Floats  # [rows, stations]
    sets: Floats  # [rows, sets of candidate slots]
    set_of_hold: Ints  # -1: over, or nothing can take it

    def overlaps(self, start: Ints, finish: Ints) -> Floats:
        """Ticks of each span that lie in each bucket: [spans, buckets]."""
        begin = np.maximum(start[:, None], self.edges[:-1])
        end = np.minimum(finish[:, None], self.edges[1:])
        ticks: Floats = np.maximum(end - begin, 0).astype(np.float64)
        return ticks


def make_supply(compilation: Compilation, state: State, days: int) -> Supply:
    """Count what is left beside committed work, in buckets of some days.

    `state` holds the facts (`scheduler.decoding.decoder.facts_state`).
    """
    a = compilation.arrays
    edges = np.append(np.arange(a.now, a.ticks, days * a.ticks_per_day), a.ticks)
    bucket_of = np.searchsorted(edges, a.ref_of[:-1], side="right") - 1
    people = count_people(compilation, state)
    room = np.maximum(a.station_capacity[:, None] - state.used, 0)
    groups, set_of_hold, names = _slot_groups(compilation)
    rows = len(people) + len(room) + len(groups)
    sets = len(groups[0][1]) if groups else 0
    capacity = np.zeros((rows, len(edges) - 1))
    later = bucket_of >= 0
    for row, profile in enumerate((*people, *room)):
        capacity[row] = np.bincount(
            bucket_of[later], weights=profile[later], minlength=len(edges) - 1
        )
    supply = Supply(
        names=(
            *(" or ".join(sorted(one)) for one in compilation.subsets),
            *compilation.stations,
            *names,
        ),
        capacity=capacity,
        edges=edges.astype(np.int64),
        bucket_of=bucket_of.astype(np.int64),
        skills=np.zeros((rows, len(compilation.skills))),
        stations=np.zeros((rows, len(room))),
        sets=np.zeros((rows, sets)),
        set_of_hold=set_of_hold,
    )
    for row, subset in enumerate(compilation.subsets):
        supply.skills[row] = [skill in subset for skill in compilation.skills]
    for station in range(len(room)):
        supply.stations[len(people) + station, station] = 1
    first = len(people) + len(room)
    for k, (slots, members) in enumerate(groups):
        supply.sets[first + k] = members
        capacity[first + k] = _slot_ticks(a, supply, slots)
    _take_given_holds(a, state, supply, first)
    np.maximum(capacity, 0, out=capacity)
    return supply


def count_people(compilation: Compilation, state: State) -> Ints:
    """People at work with one of each subset of skills: [subsets, positions].

    Those who rest in a relieved break are not counted, as the break's ticks of the
    work they relieve are not. Committed work that names its people takes them from
    every subset, other committed work its crew from the subsets that hold its skill.
    """
    a = compilation.arrays
    kinds = compilation.kinds.skills
    counts = np.zeros((len(kinds), a.kinds_free.shape[1]), np.int64)
    for kind in range(len(kinds)):
        word, lane = divmod(kind, LANES)
        shift = np.uint64(LANE_BITS * lane)
        there = (a.kinds_free[word] >> shift) & LANE
        resting = (a.kinds_resting[word] >> shift) & LANE
        counts[kind] = there.astype(np.int64) - resting.astype(np.int64)
    touches = np.array(
        [[bool(subset & own) for own in kinds] for subset in compilation.subsets],
        np.int64,
    ).reshape(len(compilation.subsets), len(kinds))
    taken = np.zeros((len(compilation.subsets), counts.shape[1]), np.int64)
    given = (a.binding == PINNED) | ((a.binding == STARTED) & (a.fixed_finish >= 0))
    for op in np.flatnonzero(given & (a.skill >= 0)).tolist():
        base = int(a.track_at[a.track[op]]) + int(state.begin[op])
        entries = slice(base, base + int(state.length[op]))
        worked = a.open_position[entries][a.in_break[entries] == 0]
        for k in range(a.given_at[op], a.given_at[op + 1]):
            ticks = a.ref_of[worked]
            there = worked[(a.given_from[k] <= ticks) & (ticks < a.given_to[k])]
            counts[a.given_kind[k], there] -= 1
        if a.given_at[op] == a.given_at[op + 1]:
            skill = compilation.skills[a.skill[op]]
            for row, subset in enumerate(compilation.subsets):
                if skill in subset:
                    taken[row, worked] += int(state.crew[op])
    left: Ints = np.maximum(touches @ np.maximum(counts, 0) - taken, 0)
    return left


def _slot_groups(
    compilation: Compilation,
) -> tuple[list[tuple[frozenset[int], list[bool]]], Ints, list[str]]:
    """Groups of slots that are counted together, and the sets that lie in each.

    Every set of slots that some hold can choose from, and the unions of sets that
    overlap: what can only go into a group never takes more than the group has.
    """
    a = compilation.arrays
    set_of_hold = np.full(len(a.hold_from), -1, np.int64)
    sets: list[frozenset[int]] = []
    named: list[str] = []
    for hold in np.flatnonzero(a.hold_active).tolist():
        part = slice(a.candidate_at[hold], a.candidate_at[hold + 1])
        slots = frozenset(a.candidate_slot[part].tolist())
        if not slots:
            continue
        if slots not in sets:
            sets.append(slots)
            named.append(_group_name(compilation, slots))
        set_of_hold[hold] = sets.index(slots)
    groups = list(sets)
    unions: list[frozenset[int]] = []
    for one in sets:
        touching = [other for other in unions if other & one]
        unions = [other for other in unions if not other & one]
        unions.append(one.union(*touching))
    for one in unions:
        if one not in groups:
            groups.append(one)
            named.append(_group_name(compilation, one))
    members = [(group, [one <= group for one in sets]) for group in groups]
    return members, set_of_hold, named


def _group_name(compilation: Compilation, slots: frozenset[int]) -> str:
    a = compilation.arrays
    resources = sorted({int(a.slot_resource[slot]) for slot in slots})
    molds = len(compilation.problem.molds)
    names = [compilation.resources[one] for one in resources]
    if resources[0] >= molds + len(compilation.problem.places):
        return ", ".join(names)  # a limit on work in process has its name
    word = "mold" if resources[0] < molds else "place"
    return f"{word}{'s' if len(names) > 1 else ''} {', '.join(names)}"


def _slot_ticks(a: Arrays, supply: Supply, slots: frozenset[int]) -> Floats:
    """Ticks that slots are not out of use, by bucket."""
    total = len(slots) * np.diff(supply.edges).astype(np.float64)
    for slot in sorted(slots):
        out = np.zeros(a.ticks + 1, np.bool_)
        for k in range(a.outage_at[slot], a.outage_at[slot + 1]):
            out[max(0, a.outage_from[k]) : max(0, a.outage_to[k])] = True
        if out.any():
            sums = np.concatenate([[0], np.cumsum(out[: a.ticks])])
            total -= np.diff(sums[supply.edges])
    return total


def _take_given_holds(a: Arrays, state: State, supply: Supply, first: int) -> None:
    """Take out occupations of which both ends are given."""
    for hold in np.flatnonzero(supply.set_of_hold >= 0).tolist():
        begin, end = given_ends(a, state, hold)
        if begin is not None and end is not None:
            span = supply.overlaps(np.array([begin]), np.array([end]))[0]
            rows = supply.sets[first:, supply.set_of_hold[hold]]
            supply.capacity[first:] -= rows[:, None] * span


def given_ends(a: Arrays, state: State, hold: int) -> tuple[int | None, int | None]:
    """Instants at which facts say that a hold begins and ends; None where they do not.

    A begun operation has a given start and, unless facts say so, an open finish.
    """
    first, last = int(a.hold_from[hold]), int(a.hold_to[hold])
    begin = (
        int(state.start[first]) if a.binding[first] in (DONE, PINNED, STARTED) else None
    )
    finish = is_given(a, last) or (
        a.binding[last] == STARTED and not a.hold_to_end[hold]
    )
    if not finish:
        return begin, None
    return begin, int(state.finish[last] if a.hold_to_end[hold] else state.start[last])


def is_given(a: Arrays, op: int) -> bool:
    """Whether nothing of an operation is left to decide."""
    begun = a.binding[op] == STARTED and a.fixed_finish[op] >= 0
    return bool(a.binding[op] in (DONE, PINNED) or begun)
