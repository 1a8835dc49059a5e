"""Cuts against naming one by one: what they forbid nobody could man."""

from __future__ import annotations

from functools import cache
from itertools import combinations
from random import Random

import numpy as np

from scheduler.compiling.compile import Compilation, compile_problem
from scheduler.cp_model.conflict import Cut, Term, cuts_among
from scheduler.cp_model.hands import can_be_manned
from scheduler.cp_model.setting import Setting, make_setting
from scheduler.cp_model.windows import Mode, find_windows
from tests.scheduler.random_facts import random_plan
from tests.scheduler.random_problems import random_problem


def pieces_of(setting: Setting, term: Term, start: int) -> list[tuple[int, int, int]]:
    """Stretches of reference ticks, with the crew, if a term begins at an index."""
    ticks = setting.axis_of(term.op).ticks[start : start + term.length].tolist()
    pieces: list[tuple[int, int, int]] = []
    for tick in ticks:
        if pieces and pieces[-1][1] == tick:
            pieces[-1] = (pieces[-1][0], tick + 1, term.crew)
        else:
            pieces.append((tick, tick + 1, term.crew))
    return pieces


def can_man(
    compilation: Compilation, setting: Setting, starts: list[tuple[Term, int]]
) -> bool:
    """Try every way to man some operations, people one by one."""
    problem, a = compilation.problem, setting.a
    present = {
        one.id: {tick for span in one.available for tick in range(*span)}
        for one in problem.people
    }
    tasks = [
        (piece, compilation.skills[a.skill[term.op]])
        for term, start in starts
        for piece in pieces_of(setting, term, start)
    ]
    tasks.sort()

    def place(number: int, busy: list[tuple[str, int, int]]) -> bool:
        if number == len(tasks):
            return True
        (begin, end, crew), skill = tasks[number]
        able = [
            one.id
            for one in problem.people
            if skill in one.skills
            and present[one.id].issuperset(range(begin, end))
            and not any(
                who == one.id and first < end and begin < last
                for who, first, last in busy
            )
        ]
        return any(
            place(number + 1, busy + [(who, begin, end) for who in team])
            for team in combinations(able, crew)
        )

    return place(0, [])


@cache
def drawn_cuts() -> list[tuple[Compilation, Setting, list[Cut]]]:
    """Problems with cuts made from operations thrown together at chance starts."""
    found = []
    for seed in range(400, 440):
        compilation = compile_problem(
            random_problem(seed, boats=3, operations=7, plain=True)
        )
        setting = make_setting(compilation, None, None)
        modes = {op: job.modes for op, job in find_windows(setting, None).jobs.items()}
        random = Random(seed)
        cuts: list[Cut] = []
        for _ in range(12):
            terms = thrown_together(setting, modes, random)
            cuts += cuts_among(setting, modes, terms)
        found.append((compilation, setting, cuts))
    return found


def thrown_together(
    setting: Setting, modes: dict[int, list[Mode]], random: Random
) -> list[Term]:
    """Some operations with people that begin within a day of each other."""
    crewed = [op for op in modes if setting.a.skill[op] >= 0 and modes[op][0].length]
    around = random.randrange(setting.a.ticks)
    terms = []
    for op in random.sample(crewed, min(5, len(crewed))):
        mode = random.choice(modes[op])
        ticks = setting.axis_of(op).ticks[mode.starts]
        at = int(np.searchsorted(ticks, around + random.randrange(-8, 9)))
        index = int(mode.starts[min(at, len(mode.starts) - 1)])
        terms.append(Term(op, mode.crew, mode.length, index, index))
    return terms


def test_what_a_cut_forbids_cannot_be_manned() -> None:
    """At the corners of each cut and at starts inside, no choice of people works."""
    rng, cases, wide = Random(7), 0, 0
    for compilation, setting, cuts in drawn_cuts():
        for cut in cuts:
            corners = [[one.first for one in cut], [one.last for one in cut]]
            inside = [[rng.randint(one.first, one.last) for one in cut] for _ in "abc"]
            for starts in corners + inside:
                both = list(zip(cut, starts, strict=True))
                assert not can_man(compilation, setting, both), cut
                cases += 1
            wide += any(one.first < one.last for one in cut)
    assert cases >= 30
    assert wide >= 3


def test_no_plan_with_names_breaks_a_cut() -> None:
    """Decoded plans, whose people are chosen, hold no cut of their problem."""
    checked = 0
    for compilation, _, cuts in drawn_cuts():
        for seed in range(20):
            plan = random_plan(compilation, Random(seed))
            if plan is None:
                continue
            for cut in cuts:
                held = [
                    plan.length[one.op] == one.length
                    and one.first <= plan.index[one.op] <= one.last
                    for one in cut
                ]
                assert not all(held), (seed, cut)
                checked += 1
    assert checked >= 50


def test_starts_are_kept_where_every_stretch_finds_a_crew() -> None:
    """The look-up agrees with counting people stretch by stretch."""
    dropped = 0
    for seed in range(20):
        compilation = compile_problem(random_problem(seed, facts=seed % 2 == 0))
        setting = make_setting(compilation, None, None)
        a = setting.a
        for op in np.flatnonzero(setting.is_free & (a.skill >= 0)).tolist():
            axis, length = setting.axis_of(op), setting.longest(op)
            count = min(60, len(axis) - length + 1)
            if count <= 0 or length == 0:
                continue
            crew, skill = int(a.crew_min[op]), int(a.skill[op])
            positions = a.position_at[axis.ticks]
            rows = setting.hands.away[setting.hands.able[:, skill]]
            fits = can_be_manned(rows, axis, positions, (crew, length), count)
            term = Term(op, crew, length, 0, 0)
            for start in range(count):
                enough = all(
                    sum(
                        row[a.position_at[end - 1] + 1] == row[a.position_at[begin]]
                        for row in rows
                    )
                    >= crew
                    for begin, end, _ in pieces_of(setting, term, start)
                )
                assert fits[start] == enough, (seed, op, start)
                dropped += not enough
    assert dropped
