"""Looking for crews by segment, against counting tick by tick."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from scheduler.compiling.arrays import FREE, LANE_BITS, LANES
from scheduler.compiling.compile import Compilation, compile_problem
from scheduler.decoding.decoder import VALUES, decode, due_positions, new_state
from scheduler.decoding.manning import take
from scheduler.decoding.placing import State, crew_miss, operation_length
from scheduler.searching.search import facts_of
from tests.scheduler.planned import random_choices
from tests.scheduler.random_problems import random_problem


def filled(seed: int, *, facts: bool) -> tuple[Compilation, State]:
    """A random problem and a state with a whole plan in it."""
    compilation = compile_problem(random_problem(seed, facts=facts))
    a = compilation.arrays
    state, value = new_state(a), np.zeros(VALUES, np.int64)
    choices = random_choices(compilation, seed)
    if not decode(a, facts_of(a), state, choices, due_positions(a), value):
        pytest.skip("these choices give no plan")
    return compilation, state


def counts(words: np.ndarray) -> np.ndarray:
    """The counters of packed words, one row a kind."""
    rows = []
    for word in words:
        for lane in range(LANES):
            shift = np.uint64(LANE_BITS * lane)
            rows.append((word >> shift) & np.uint64(2**LANE_BITS - 1))
    return np.array(rows, np.int64)


def left(compilation: Compilation, state: State) -> np.ndarray:
    """People left at each position, packed."""
    words: np.ndarray = state.free - state.gone[:, compilation.arrays.segment_of]
    return words


def fewest(compilation: Compilation, state: State) -> np.ndarray:
    """The fewest people of each kind over each segment, by looking at every tick."""
    at = compilation.arrays.segment_at
    free = counts(left(compilation, state))
    columns = [free[:, first:last].min(axis=1) for first, last in pairwise(at)]
    return np.stack(columns, axis=1)


@pytest.mark.parametrize("facts", [False, True])
@pytest.mark.parametrize("seed", range(15))
def test_segments_know_their_fewest(seed: int, facts: bool) -> None:
    """After a whole plan, and after some of its work is given back."""
    compilation, state = filled(seed, facts=facts)
    a = compilation.arrays
    assert (counts(state.least) == fewest(compilation, state)).all()
    for op in np.flatnonzero(a.binding == FREE)[::3]:
        take(a, state, int(op), -1)
    assert (counts(state.least) == fewest(compilation, state)).all()


def slow_miss(
    compilation: Compilation, state: State, op: int, crew: int, first: int, last: int
) -> int:
    """The miss that `crew_miss` should find, tick by tick over plain numbers."""
    a = compilation.arrays
    base = int(a.track_at[a.track[op]])
    free = counts(left(compilation, state))
    resting = counts(a.kinds_resting)
    able = counts(a.able[a.skill[op]][:, None])[:, 0] > 0
    stay = None
    for index in range(last, first - 1, -1):
        position = a.open_position[base + index]
        there = np.where(able, free[:, position], 0)
        if not a.in_break[base + index]:
            there -= np.minimum(there, np.where(able, resting[:, position], 0))
        if stay is None or a.run_end[base + index] == index + 1:
            stay = there
        stay = np.minimum(stay, there)
        if stay.sum() < crew:
            return index
    return -1


@pytest.mark.parametrize("seed", range(30))
def test_a_miss_is_found_where_counting_finds_it(seed: int) -> None:
    """For random stretches and crews of a filled yard."""
    compilation, state = filled(seed, facts=seed % 2 == 1)
    a = compilation.arrays
    rng = np.random.default_rng(seed)
    crewed = np.flatnonzero(a.skill >= 0)
    for _ in range(60):
        op = int(rng.choice(crewed))
        base, end = a.track_at[a.track[op]], a.track_at[a.track[op] + 1]
        first = int(rng.integers(0, end - base - 1))
        last = int(min(end - base - 1, first + rng.integers(0, 80)))
        crew = int(rng.integers(1, 5))
        found = crew_miss(a, state, op, crew, int(base), first, last)
        assert found == slow_miss(compilation, state, op, crew, first, last)


@pytest.mark.parametrize("seed", range(15))
def test_crews_have_room_wherever_an_operation_begins(seed: int) -> None:
    """One entry for each run that it can touch with its smallest crew, and no more."""
    a = compile_problem(random_problem(seed)).arrays
    for op in range(len(a.boat_of)):
        first, last = a.track_at[a.track[op]], a.track_at[a.track[op] + 1]
        run_end = a.run_end[first:last]
        length = int(a.length[a.length_at[op] : a.length_at[op + 1]].max())
        touched = [
            len(np.unique(run_end[begin : begin + max(1, length)]))
            for begin in range(max(1, len(run_end) - length + 1))
        ]
        room = a.share_at[op + 1] - a.share_at[op]
        assert room == (max(touched) if a.skill[op] >= 0 else 0)


def test_crews_have_room_where_the_smallest_never_ends() -> None:
    """A larger crew may fit an axis that is too short for the smallest."""
    problem = random_problem(1)
    hours = problem.axis.ticks * problem.axis.tick_minutes / 60 * 2
    place = next(k for k, one in enumerate(problem.operations) if one.skill)
    one = replace(problem.operations[place], labor_hours=hours)
    operations = list(problem.operations)
    operations[place] = one
    a = compile_problem(replace(problem, operations=tuple(operations))).arrays
    track = a.track[place]
    run_end = a.run_end[a.track_at[track] : a.track_at[track + 1]]
    assert a.length[a.length_of[place] + a.crew_min[place]] > len(run_end)
    room = a.share_at[place + 1] - a.share_at[place]
    assert room == len(np.unique(run_end))


def test_work_without_a_crew_lasts_as_long_whoever_is_named() -> None:
    """Facts may name people for it; its length is not looked up by their number."""
    problem = random_problem(0)
    minutes = 7 * problem.axis.tick_minutes
    one = replace(
        problem.operations[0],
        skill=None,
        crew_min=0,
        crew_max=0,
        duration_minutes=minutes,
        remaining_hours=None,
    )
    problem = replace(problem, operations=(one, *problem.operations[1:]))
    a = compile_problem(problem).arrays
    for crew in range(4):
        assert operation_length(a, 0, crew) == 7
