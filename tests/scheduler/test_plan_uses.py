"""What is said to stand in the way agrees with the checker, which shares no code.

Every operation of the small plan that waits is moved to each instant at which it
could have begun, with every choice of people. Nothing stands in its way exactly where
one of these plans keeps all rules.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations

import pytest

from scheduler.checker import RULES
from scheduler.checking.document import read_document
from scheduler.checking.score import check_score
from scheduler.plan import Occupation, Plan, Planned
from scheduler.plan_file import plan_to_json
from scheduler.problem import Part, Span, Stint
from scheduler.waiting_for import Causes
from tests.scheduler.small_plan import small_plan

PLAN = small_plan()
CAUSES = Causes(PLAN)
WAITING = [
    one.operation
    for one in PLAN.answer.operations
    if CAUSES.waited_for(one.operation).waited
]


def _starts(name: str) -> Iterator[int]:
    """The instants, from when its boat is ready, at which it could have begun."""
    operation, row = CAUSES.uses.operations[name], CAUSES.uses.planned[name]
    at = CAUSES.clock.first_start(operation, row, CAUSES.waited_for(name).ready)
    while at is not None and at < row.start:
        yield at
        at = CAUSES.clock.first_start(operation, row, at + 1)


def _moved(name: str, segments: tuple[Span, ...], people: tuple[str, ...]) -> Plan:
    """The small plan with one operation elsewhere, and its part's stays with it."""
    start, finish = segments[0][0], segments[-1][1]
    stints = tuple(Stint(person, start, finish) for person in people)
    rows = tuple(
        replace(one, start=start, finish=finish, segments=segments, people=stints)
        if one.operation == name
        else one
        for one in PLAN.answer.operations
    )
    at = {one.operation: one for one in rows}
    stays = tuple(_stay(one, at) for one in PLAN.answer.occupations)
    answer = replace(PLAN.answer, operations=rows, occupations=stays)
    return replace(PLAN, answer=answer)


def _stay(one: Occupation, at: dict[str, Planned]) -> Occupation:
    part = next(
        row
        for row in PLAN.problem.parts
        if (row.order, row.part) == (one.order, one.part)
    )
    if one.resource in {mold.id for mold in PLAN.problem.molds}:
        assert part.mold_from is not None
        assert part.mold_to is not None
        start, finish = at[part.mold_from].start, at[part.mold_to].finish
    else:
        assert part.place_from is not None
        start, finish = at[part.place_from].start, _left(part, at)
    return replace(one, start=start, finish=finish)


def _left(part: Part, at: dict[str, Planned]) -> int:
    assert part.place_to is not None
    row = at[part.place_to]
    return row.start if part.place_to_of == "start" else row.finish


def _keeps_the_rules(plan: Plan) -> bool:
    document, faults = read_document(plan_to_json(plan))
    assert document is not None, faults
    # The dates and levels are those of the plan before the move.
    rules = [rule for rule in RULES if rule is not check_score]
    return not any(sentence for rule in rules for sentence in rule(document))


def test_the_plan_as_it_stands_keeps_the_rules() -> None:
    """Moving nothing breaks nothing, so that a breach comes from the move."""
    assert _keeps_the_rules(PLAN)
    row = CAUSES.uses.planned["B102/hull.prep"]
    people = tuple(stint.person for stint in row.people)
    assert _moved(row.operation, row.segments, people) == PLAN


@pytest.mark.parametrize("name", WAITING)
def test_nothing_stands_in_the_way_where_the_checker_agrees(name: str) -> None:
    """An operation is free to begin exactly where some choice of people is allowed."""
    operation, row = CAUSES.uses.operations[name], CAUSES.uses.planned[name]
    able = [one.id for one in PLAN.problem.people if operation.skill in one.skills]
    for start in _starts(name):
        segments = CAUSES.clock.segments(operation, row, start)
        allowed = any(
            _keeps_the_rules(_moved(name, segments, people))
            for people in combinations(able, row.crew)
        )
        block = CAUSES.uses.block(name, start)
        assert (block is None) == allowed, (PLAN.problem.axis.local(start), block)


def test_both_answers_occur() -> None:
    """The comparison sees operations that are free to begin and such that are not."""
    answers = {
        CAUSES.uses.block(name, start) is None
        for name in WAITING
        for start in _starts(name)
    }
    assert answers == {True, False}
    assert len(WAITING) > 8
