"""Stretches manned by the kinds of people that the decoder counted out."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import numpy as np
import pytest

from scheduler.compiling.arrays import I32, LANE_BITS, TableU64
from scheduler.compiling.compile import Compilation, compile_problem
from scheduler.naming.by_kind import counts_by_kind, man_by_kind, members_by_kind
from scheduler.naming.names import previous_blocks
from scheduler.naming.roster import (
    LEADS,
    OTHERS,
    Blocks,
    Roster,
    build_roster,
    cut_blocks,
)
from scheduler.problem import Problem
from scheduler.solution import Solution
from tests.scheduler.random_facts import in_the_midst, random_plan
from tests.scheduler.random_problems import random_problem


def people_of(
    blocks: Blocks, share: TableU64, lane: I32, last_block: I32
) -> list[list[int]] | None:
    """All blocks as one stretch."""
    most = max(int(blocks.crew.max()), *(len(one) for one in blocks.given.values()), 1)
    chosen = np.full((len(blocks.op), most), -1, np.int32)
    given = chosen.copy()
    for block, people in blocks.given.items():
        given[block, : len(people)] = people
    counts = counts_by_kind(share, blocks.share)
    done = man_by_kind(
        0, len(blocks.op), blocks.start, blocks.finish, blocks.crew, blocks.fits,
        blocks.role, counts, *members_by_kind(lane, counts.shape[1]), given, last_block,
        chosen,
    )  # fmt: skip
    if not done:
        assert (chosen == -1).all()
        return None
    return [[one for one in row if one >= 0] for row in chosen.tolist()]


def named(roster: Roster, blocks: Blocks, solution: Solution) -> list[list[int]] | None:
    """The whole plan as one stretch."""
    return people_of(blocks, solution.share, roster.lane, previous_blocks(blocks))


def decoded(problem: Problem, random: Random) -> tuple[Compilation, Solution] | None:
    """A random plan of a problem."""
    compilation = compile_problem(problem)
    solution = random_plan(compilation, random)
    return None if solution is None else (compilation, solution)


@pytest.mark.parametrize("seed", [0, 1, 2, 3, 4, 5, 6, 7, 8, 11])
def test_every_decoded_plan_is_manned(seed: int) -> None:
    """Each block has its crew of people who can and are there, on one block at once."""
    random = Random(seed)
    problem = random_problem(seed)
    if seed % 2:
        problem = in_the_midst(problem, random)
    found = decoded(problem, random)
    assert found is not None
    compilation, solution = found
    roster = build_roster(compilation)
    blocks = cut_blocks(compilation, roster, solution)
    people = named(roster, blocks, solution)
    assert people is not None
    free_from = np.zeros(len(roster.lane), np.int64)
    for block in range(len(blocks.op)):
        crew = people[block]
        assert len(crew) == len(set(crew)) == blocks.crew[block]
        assert blocks.fits[block, crew].all()
        assert (free_from[crew] <= blocks.start[block]).all()
        assert set(blocks.given.get(block, ())) <= set(crew)
        free_from[crew] = blocks.finish[block]


def test_those_of_the_block_before_stay() -> None:
    """Among those of a kind, whoever was on the operation before is taken first."""
    blocks = Blocks(
        op=np.array([0, 0], np.int32),
        start=np.array([0, 4], np.int32),
        finish=np.array([4, 8], np.int32),
        crew=np.array([1, 1], np.int32),
        fits=np.array([[False, True], [True, True]]),
        given={},
        share=np.array([0, 1], np.int32),
        role=np.zeros(2, np.int32),
    )
    people = people_of(
        blocks,
        np.array([[1], [1]], np.uint64),
        np.array([0, 0], np.int32),
        np.array([-1, 0], np.int32),
    )
    assert people == [[1], [1]]


def test_a_lead_who_is_away_leaves_it_to_the_others_of_the_kind() -> None:
    """A kind leads where those of it do who are there."""
    blocks = Blocks(
        op=np.array([0, 0], np.int32),
        start=np.array([0, 0], np.int32),
        finish=np.array([4, 4], np.int32),
        crew=np.array([1, 1], np.int32),
        fits=np.array([[False, True, False], [False, True, True]]),
        given={},
        share=np.array([0, 0], np.int32),
        role=np.array([LEADS, OTHERS], np.int32),
    )
    people = people_of(
        blocks,
        np.array([[1 + (1 << LANE_BITS)]], np.uint64),
        np.array([0, 0, 1], np.int32),  # the first of kind 0 is on leave
        np.array([-1, -1], np.int32),
    )
    assert people == [[1], [2]]


def test_a_plan_from_elsewhere_is_refused() -> None:
    """Without the decoder's crews nobody is named."""
    random = Random(3)
    found = decoded(random_problem(3), random)
    assert found is not None
    compilation, solution = found
    roster = build_roster(compilation)
    blocks = cut_blocks(compilation, roster, solution)
    assert len(blocks.op)
    bare = replace(solution, share=np.zeros_like(solution.share))
    assert named(roster, blocks, bare) is None
