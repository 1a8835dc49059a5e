"""What the constraint model may decide, and what stands: people and room left over.

Facts are constants. Boats outside a window stay as in the hint. Both are taken out of
the profiles of people and stations tick by tick, so that they cost the model nothing.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np

from scheduler.compiling.arrays import DONE, FREE, LANE_BITS, LANES, PINNED, STARTED
from scheduler.compiling.standing import lead_of
from scheduler.cp_model.axes import AxisBook, TickAxis
from scheduler.cp_model.hands import Hands, count_hands
from scheduler.cp_model.openings import begun_openings
from scheduler.decoding.decoder import facts_state
from scheduler.decoding.lanes import LANE

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from numpy.typing import NDArray

    from scheduler.compiling.arrays import Arrays
    from scheduler.compiling.compile import Compilation
    from scheduler.decoding.placing import State
    from scheduler.solution import Solution

    Ints = NDArray[np.int64]


@dataclass(frozen=True)
class Shared:
    """What models of one problem have in common, looked up once: keys say of what.

    `by_stretch` says whether each stretch of work must find one crew that stays. A
    problem whose people are not the ones who would be there counts them by tick alone.
    """

    axes: AxisBook
    by_stretch: bool = True
    manned: dict[Any, NDArray[np.bool_]] = field(default_factory=dict)
    starts: dict[Any, Ints] = field(default_factory=dict)  # where only facts stand


def share(compilation: Compilation, *, by_stretch: bool = True) -> Shared:
    """Begin to keep what models of a problem have in common."""
    return Shared(AxisBook(compilation.arrays), by_stretch)


@dataclass(frozen=True)
class Setting:
    """A problem with everything that stands taken out.

    `start`, `finish`, `crew`, `index` and `length` are those of operations that
    stand. Profiles are by work-axis position.
    """

    a: Arrays
    axes: AxisBook
    boats: tuple[int, ...]  # to be planned
    left_out: frozenset[int]  # boats that are planned as if they had not been ordered
    is_free: NDArray[np.bool_]  # by operation
    is_left_out: NDArray[np.bool_]  # by operation: of a boat that is left out
    start: NDArray[np.int64]
    finish: NDArray[np.int64]
    crew: NDArray[np.int64]
    index: NDArray[np.int64]
    length: NDArray[np.int64]
    hold_slot: NDArray[np.int64]  # of holds that stand; -1 where the slot is open
    people: NDArray[np.int64]  # [subsets, positions] people left
    unit: NDArray[np.int64]  # [subsets, skills] 1 where a subset counts a whole crew
    leads: NDArray[np.int64]  # [subsets, skills] 1 where it counts its leads alone
    hands: Hands  # people left, person by person
    room: NDArray[np.int64]  # [stations, positions] capacity left
    latest: NDArray[np.int64]  # by boat: last finish that can still be stated
    cures: tuple[NDArray[np.int64], ...]  # ends of cures that a cold shop lengthens
    openings: tuple[NDArray[np.int64], ...]  # slots begun by a tick
    services: tuple[NDArray[np.int64], ...]  # ends of mold services, by row
    hint: Solution | None
    sound: bool  # whether the facts agree with each other
    starts: dict[Any, Ints]  # looked up, by what is asked
    manned: dict[Any, NDArray[np.bool_]]
    by_stretch: bool  # see `Shared`

    def axis_of(self, op: int) -> TickAxis:
        """The axis on which an operation works; one without length may be anywhere."""
        if self.longest(op) == 0:
            return self.axes.all
        track: int = self.a.track[op]
        return self.axes.tracks[track]

    def longest(self, op: int) -> int:
        """Worked ticks with the smallest crew."""
        return int(self.a.length[self.a.length_at[op]])

    def is_begun(self, op: int) -> bool:
        """Whether an operation is free but for its start, which is a fact."""
        return bool(self.a.binding[op] == STARTED and self.is_free[op])


def make_setting(
    compilation: Compilation,
    hint: Solution | None,
    free_boats: Sequence[int] | None,
    left_out: Collection[int] = (),
    shared: Shared | None = None,
) -> Setting:
    """Take facts, and boats outside a window, out of a problem.

    Boats that are left out must have nothing done, begun or pinned. What is `shared`
    is of the same problem.
    """
    shared = shared or share(compilation)
    a = compilation.arrays
    state, sound = facts_state(a)
    open_boats = {int(boat) for boat in np.flatnonzero(a.boat_fixed == 0)}
    boats = open_boats if free_boats is None else open_boats & set(free_boats)
    boats = boats - set(left_out)
    is_left_out = np.isin(a.boat_of, sorted(left_out))
    loose = (a.binding == FREE) | ((a.binding == STARTED) & (a.fixed_finish < 0))
    is_free = loose & np.isin(a.boat_of, sorted(boats))
    people, unit, leads, hands = _count_people(compilation, state)
    room = a.station_capacity.astype(np.int64)[:, None] - state.used
    given = _Given(
        state.start.astype(np.int64),
        state.finish.astype(np.int64),
        state.crew.astype(np.int64),
        state.begin.astype(np.int64),
        state.length.astype(np.int64),
        _only_slots(a),
    )
    outside = np.flatnonzero(loose & ~is_free & ~is_left_out)
    if len(outside):
        if hint is None:
            raise ValueError("boats outside the window need a plan to stand by")
        _let_stand(a, hint, outside, given, people, (unit, leads), room)
    return Setting(
        a=a,
        axes=shared.axes,
        boats=tuple(sorted(boats)),
        left_out=frozenset(left_out),
        is_free=is_free,
        is_left_out=is_left_out,
        start=given.start,
        finish=given.finish,
        crew=given.crew,
        index=given.index,
        length=given.length,
        hold_slot=given.hold_slot,
        people=np.maximum(people, 0),
        unit=unit,
        leads=leads,
        hands=hands,
        room=np.maximum(room, 0),
        latest=_latest_finishes(compilation),
        cures=tuple(a.cure_end.astype(np.int64)),
        openings=tuple(begun_openings(a, row) for row in range(len(a.opening_next))),
        services=tuple(np.minimum(a.service_end, a.ticks + 1).astype(np.int64)),
        hint=hint,
        sound=sound,
        starts={} if len(outside) else shared.starts,
        manned=shared.manned,
        by_stretch=shared.by_stretch,
    )


def _latest_finishes(compilation: Compilation) -> NDArray[np.int64]:
    """Last finish of each boat: a proposal needs its buffer before the axis ends."""
    a, problem = compilation.arrays, compilation.problem
    last_day = len(compilation.days) - 1 - problem.buffer_days
    last = int(np.searchsorted(a.day_index, last_day, side="right")) - 1
    return np.array(
        [a.ticks if one.promised else max(0, last) for one in problem.orders], np.int64
    )


@dataclass(frozen=True)
class _Given:
    start: NDArray[np.int64]
    finish: NDArray[np.int64]
    crew: NDArray[np.int64]
    index: NDArray[np.int64]
    length: NDArray[np.int64]
    hold_slot: NDArray[np.int64]


def _count_people(
    compilation: Compilation, state: State
) -> tuple[Ints, Ints, Ints, Hands]:
    """People left beside committed work, and what each skill counts in, by subset.

    Committed work that names its people takes them from every subset that they are
    in; other committed work takes its crew from the subsets that hold its skill.
    """
    a, subsets = compilation.arrays, compilation.crew_sets
    size = len(subsets), len(compilation.skills)
    unit = np.array(
        [[skill in subset for skill in compilation.skills] for subset in subsets],
        np.int64,
    ).reshape(size)
    leads = np.array(
        [
            [lead_of(skill) in subset for skill in compilation.skills]
            for subset in subsets
        ],
        np.int64,
    ).reshape(size)
    leads[unit > 0] = 0
    kinds = compilation.kinds.skills
    touches = np.array(
        [[bool(subset & own) for own in kinds] for subset in subsets], np.int64
    ).reshape(len(subsets), len(kinds))
    counts = np.zeros((len(kinds), a.kinds_free.shape[1]), np.int64)
    for kind in range(len(counts)):
        word, lane = divmod(kind, LANES)
        shifted = a.kinds_free[word] >> np.uint64(LANE_BITS * lane)
        counts[kind] = (shifted & LANE).astype(np.int64)
    people: NDArray[np.int64] = touches @ counts
    given = (a.binding == PINNED) | ((a.binding == STARTED) & (a.fixed_finish >= 0))
    for op in np.flatnonzero(given & (a.skill >= 0)).tolist():
        base = int(a.track_at[a.track[op]]) + int(state.begin[op])
        worked = a.open_position[base : base + int(state.length[op])]
        for k in range(a.given_at[op], a.given_at[op + 1]):
            ticks = a.ref_of[worked]
            there = worked[(a.given_from[k] <= ticks) & (ticks < a.given_to[k])]
            people[:, there] -= touches[:, a.given_kind[k]][:, None]
            counts[a.given_kind[k], there] -= 1
        if a.given_at[op] == a.given_at[op + 1]:
            taken = _taken(a, (unit, leads), op, int(state.crew[op]))
            people[:, worked] -= taken[:, None]
    most = int(a.crew_max.max(initial=0))
    return people, unit, leads, count_hands(counts, kinds, compilation.skills, most)


def _taken(a: Arrays, counted: tuple[Ints, Ints], op: int, crew: int) -> Ints:
    """What a crew of an operation takes of each subset."""
    unit, leads = (one[:, a.skill[op]] for one in counted)
    return crew * unit + min(crew, int(a.leads[op])) * leads


def _only_slots(a: Arrays) -> NDArray[np.int64]:
    """The slot of each hold that has no choice; -1 where there is one."""
    firsts = np.append(a.candidate_slot, -1)[a.candidate_at[:-1]]
    return np.where(np.diff(a.candidate_at) == 1, firsts, -1).astype(np.int64)


def _let_stand(
    a: Arrays,
    hint: Solution,
    outside: NDArray[np.int64],
    given: _Given,
    people: NDArray[np.int64],
    counted: tuple[Ints, Ints],
    room: NDArray[np.int64],
) -> None:
    """Let operations stand where a plan has them."""
    for name in ("start", "finish", "crew", "index", "length"):
        getattr(given, name)[outside] = getattr(hint, name)[outside]
    holders = np.isin(a.part_boat[a.hold_part], a.boat_of[outside])
    given.hold_slot[holders] = hint.hold_slot[holders]
    for op in outside.tolist():
        length, first = int(hint.length[op]), int(hint.index[op])
        if length == 0 or a.binding[op] == DONE:
            continue
        base = int(a.track_at[a.track[op]]) + first
        worked = a.open_position[base : base + length]
        if a.skill[op] >= 0:
            taken = _taken(a, counted, op, int(hint.crew[op]))
            people[:, worked] -= taken[:, None]
        covered = slice(int(worked[0]), int(worked[-1]) + 1)
        for k in range(a.demand_at[op], a.demand_at[op + 1]):
            room[a.demand_station[k], covered] -= int(a.demand_amount[k])
