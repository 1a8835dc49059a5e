"""Crew sizes that can be had, against the people of a problem minute by minute."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scheduler.compiling.compile import compile_problem
from scheduler.problem import Problem
from tests.scheduler.random_problems import random_problem


def most_there(problem: Problem, skill: str) -> int:
    """The most people with a skill who are there in one tick, counted one by one."""
    there = [0] * (problem.axis.ticks + 1)
    for one in problem.people:
        for start, end in one.available if skill in one.skills else ():
            for tick in range(start, end):
                there[tick] += 1
    return max(there)


def without_half(problem: Problem) -> Problem:
    """The same problem with every other one of its people."""
    return replace(problem, people=problem.people[::2])


@pytest.mark.parametrize("seed", range(12))
def test_no_crew_is_looked_for_that_is_never_there(seed: int) -> None:
    """The others are all kept, and each operation keeps at least its smallest."""
    problem = without_half(random_problem(seed))
    a = compile_problem(problem).arrays
    most = {
        one.skill: most_there(problem, one.skill)
        for one in problem.operations
        if one.skill
    }
    for op, one in enumerate(problem.operations):
        if one.skill is None:
            continue
        largest = min(one.crew_max, most[one.skill])
        assert a.crew_max[op] == max(int(a.crew_min[op]), largest)
        assert a.length_at[op + 1] - a.length_at[op] == (
            a.crew_max[op] - a.crew_min[op] + 1
        )


def test_some_crews_are_dropped() -> None:
    """The problems above do have operations that ask for more than are there."""
    dropped = 0
    for seed in range(12):
        problem = without_half(random_problem(seed))
        a = compile_problem(problem).arrays
        asked = [one.crew_max for one in problem.operations]
        dropped += int((a.crew_max < asked).sum())
    assert dropped > 0


@pytest.mark.parametrize("seed", range(8))
def test_a_given_crew_stands(seed: int) -> None:
    """What facts say is not judged by who is there now."""
    problem = random_problem(seed, facts=True)
    a = compile_problem(problem).arrays
    given = a.fixed_crew > 0
    assert (a.fixed_crew[given] <= a.crew_max[given]).all()
