"""Where the decoder finds no plan, the constraint model is asked, and it is counted."""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from models.errors import NoPlan
from scheduler.compiling.compile import compile_problem
from scheduler.cp_model.rescue import METHOD, PROVEN, rescue
from scheduler.cp_model.tighten import Effort
from scheduler.fitting import quick_finish
from scheduler.planner import Request, find_plan
from scheduler.searching.search import Budget
from tests.scheduler.random_problems import random_problem
from tests.scheduler.sound_plans import violations
from tests.scheduler.strained_problems import strained_problem

LONG = Effort(120.0, None, 1, 0)  # seconds: only a stop for a machine that hangs


@dataclass
class Tally:
    """What came of the books for which no rule gives a plan."""

    rescued: int = 0
    proven: int = 0
    open: int = 0


def ask(seeds: range) -> Tally:
    """Plan every strained book for which no rule gives a plan."""
    tally = Tally()
    for seed in seeds:
        compilation = compile_problem(strained_problem(seed))
        if quick_finish(compilation) is not None:
            continue
        try:
            done = rescue(compilation, LONG, lambda: False)
        except NoPlan as refusal:
            proven = str(refusal).endswith(PROVEN)
            tally.proven += proven
            tally.open += not proven
            continue
        assert done.method == METHOD
        assert done.bound <= done.settled.solution.values[0]
        assert violations(compilation, done.settled.solution) == [], seed
        tally.rescued += 1
    return tally


def test_the_model_finds_what_the_decoder_misses() -> None:
    """Of books that no rule plans, some are planned; for the others it is proven."""
    tally = ask(range(350, 450))
    assert tally.rescued >= 2
    assert tally.proven >= 15
    assert tally.open <= 1  # plans whose people cannot be named


@pytest.mark.slow
def test_the_model_finds_what_the_decoder_misses_on_many() -> None:
    """The same on 600 books."""
    tally = ask(range(600))
    assert tally.rescued >= 5
    assert tally.proven >= 100
    assert tally.open <= 5


def test_planning_asks_the_model_by_itself() -> None:
    """A book without any plan to begin from is planned as any other."""
    planned = 0
    for seed in range(350, 360):
        compilation = compile_problem(strained_problem(seed))
        if quick_finish(compilation) is None:
            try:
                done, found = find_plan(compilation, Request(Budget(None, 5_000)))
            except NoPlan:
                continue
            assert not found.choices
            assert done.method == METHOD
            planned += 1
    assert planned >= 1


def test_a_large_book_is_not_asked_for() -> None:
    """Where the model is too large, the refusal says what stands in the way."""
    compilation = compile_problem(random_problem(1, boats=60, operations=12))
    with pytest.raises(NoPlan, match="no plan"):
        rescue(compilation, LONG, lambda: False)
