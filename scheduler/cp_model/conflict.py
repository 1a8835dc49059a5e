"""Why people cannot be named for a plan of the model, said as widely as it is true.

The model counts people at every tick; the rule of the floor keeps a crew together from
one break or stop to the next. Where a plan fails by that rule, a few operations with a
span of starts each are found that cannot be manned together wherever in their spans
they begin: what they work on in any case is already too much. Such a cut is a
consequence of the rules, so a bound with cuts is still a bound.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from numpy.typing import NDArray

    from scheduler.cp_model.setting import Setting
    from scheduler.cp_model.windows import Mode
    from scheduler.solution import Solution

MOST_CUTS = 12  # from one clash
MOST_STEPS = 400  # of trying one by one, before a solver is asked
PROOF_TIME = 0.5  # deterministic, for one look at whether people suffice


@dataclass(frozen=True)
class Term:
    """One operation with one crew, beginning somewhere in a span of its own axis."""

    op: int
    crew: int
    length: int
    first: int
    last: int


Cut = tuple[Term, ...]
"""Terms that cannot all hold."""

Span = tuple[int, int]  # in reference ticks


@dataclass(frozen=True)
class _Piece:
    """An unbroken stretch that a term works on in any case."""

    op: int
    start: int  # positions
    end: int
    crew: int
    rows: NDArray[np.bool_]  # who is there throughout


def explain_clash(
    setting: Setting, modes: Mapping[int, list[Mode]], solution: Solution, span: Span
) -> list[Cut]:
    """Cuts that a plan breaks in a span of time; none if people suffice in it.

    Each comes with those that the same operations would break with other crews.

    People on committed work that names nobody are not taken into account, so a clash
    with such work is not explained.
    """
    terms = [_term(setting, solution, op) for op in at_work(setting, solution, span)]
    return cuts_among(setting, modes, terms)


def at_work(setting: Setting, solution: Solution, span: Span) -> list[int]:
    """Free operations that somebody works on in a span of time."""
    since, until = span
    here = setting.is_free & (setting.a.skill >= 0)
    here &= (solution.start < until) & (solution.finish > since)
    found: list[int] = np.flatnonzero(here).tolist()
    return found


def cuts_among(
    setting: Setting, modes: Mapping[int, list[Mode]], terms: list[Term]
) -> list[Cut]:
    """Cuts that some operations break where they stand; none if people suffice."""
    cuts: list[Cut] = []
    while len(cuts) < MOST_CUTS and not _suffice(setting, terms):
        cut = _fewest(setting, terms)
        cuts += [
            _widest(setting, one) for one in _with_other_crews(setting, modes, cut)
        ]
        dropped = cut[-1].op
        terms = [term for term in terms if term.op != dropped]
    return cuts


def stand_still(setting: Setting, solution: Solution, ops: Sequence[int]) -> Cut:
    """The starts that some operations have, to be forbidden together."""
    return tuple(_term(setting, solution, op) for op in ops if setting.is_free[op])


def _with_other_crews(
    setting: Setting, modes: Mapping[int, list[Mode]], cut: list[Term]
) -> list[list[Term]]:
    """A cut, and it with one crew exchanged wherever people do not suffice then."""
    found = [cut]
    for place, term in enumerate(cut):
        for mode in modes.get(term.op, ()):
            if mode.length in (0, term.length):
                continue
            last = min(term.last, len(setting.axis_of(term.op)) - mode.length)
            other = Term(term.op, mode.crew, mode.length, last, last)
            one = [*cut[:place], other, *cut[place + 1 :]]
            if not _suffice(setting, one):
                found.append(one)
    return found


def _term(setting: Setting, solution: Solution, op: int) -> Term:
    index = int(solution.index[op])
    return Term(op, int(solution.crew[op]), int(solution.length[op]), index, index)


def _fewest(setting: Setting, terms: Sequence[Term]) -> list[Term]:
    """Drop terms as long as people do not suffice for the others."""
    kept = list(terms)
    for term in terms:
        without = [one for one in kept if one.op != term.op]
        if not _suffice(setting, without):
            kept = without
    return kept


def _widest(setting: Setting, terms: Sequence[Term]) -> Cut:
    """Widen the spans of starts one after the other as far as people do not suffice."""
    kept = list(terms)
    for place, term in enumerate(kept):
        if setting.is_begun(term.op):
            continue
        room = term.length - 1  # beyond, nothing is worked on in any case
        most = len(setting.axis_of(term.op)) - term.length
        for side in ("first", "last"):
            low, high = (
                0,
                min(room, term.first if side == "first" else most - term.last),
            )
            while low < high:
                step = (low + high + 1) // 2
                wider = _moved(kept[place], side, step)
                if _suffice(setting, [*kept[:place], wider, *kept[place + 1 :]]):
                    high = step - 1
                else:
                    low = step
            kept[place] = _moved(kept[place], side, low)
            room -= low
    return tuple(kept)


def _moved(term: Term, side: str, step: int) -> Term:
    if side == "first":
        return replace(term, first=term.first - step)
    return replace(term, last=term.last + step)


def _pieces(setting: Setting, term: Term) -> list[_Piece]:
    """What a term works on wherever it begins, cut at breaks and stops.

    Leads of a crew are a piece of their own.
    """
    a = setting.a
    axis, skill = setting.axis_of(term.op), int(a.skill[term.op])
    begin, end = term.last, term.first + term.length
    if skill < 0 or begin >= end:
        return []
    ticks = axis.ticks[begin:end]
    edges = np.flatnonzero(np.diff(ticks) != 1) + 1
    found = []
    hands, leads = setting.hands, min(int(a.leads[term.op]), term.crew)
    asked = ((leads, hands.leading), (term.crew - leads, hands.able))
    for low, high in pairwise([0, *edges.tolist(), len(ticks)]):
        first = int(a.position_at[ticks[low]])
        after = int(a.position_at[ticks[high - 1]]) + 1
        there = hands.away[:, after] == hands.away[:, first]
        for crew, able in asked:
            if crew:
                rows = there & able[:, skill]
                found.append(_Piece(term.op, first, after, crew, rows))
    return found


def _suffice(setting: Setting, terms: Sequence[Term]) -> bool:
    """Whether every piece can have a crew of its own; also if that is not decided."""
    pieces = [piece for term in terms for piece in _pieces(setting, term)]
    if any(piece.rows.sum() < piece.crew for piece in pieces):
        return False
    if len({piece.op for piece in pieces}) < 2:
        return True
    pieces.sort(key=lambda piece: (piece.start, piece.rows.sum()))
    reach = np.array([piece.rows for piece in pieces])
    columns, sizes = np.unique(reach[:, reach.any(axis=0)], axis=1, return_counts=True)
    verdict = _try_all(pieces, columns, sizes.tolist())
    return _solved(pieces, columns, sizes.tolist()) if verdict is None else verdict


def _try_all(
    pieces: Sequence[_Piece], fits: NDArray[np.bool_], sizes: list[int]
) -> bool | None:
    """Man pieces in order of start, going back where nobody is left; None if too long.

    Whoever fits the same pieces is one group, and in order of start it is enough to
    count who of a group is still on another piece.
    """
    able = [np.flatnonzero(row).tolist() for row in fits]
    sent: list[dict[int, int]] = [{} for _ in pieces]
    steps = 0

    def place(number: int) -> bool | None:
        nonlocal steps
        if number == len(pieces):
            return True
        left = {group: sizes[group] for group in able[number]}
        for other in range(number):
            if pieces[other].end > pieces[number].start:
                for group, count in sent[other].items():
                    if group in left:
                        left[group] -= count
        for team in _teams(list(left.items()), pieces[number].crew):
            steps += 1
            if steps > MOST_STEPS:
                return None
            sent[number] = team
            verdict = place(number + 1)
            if verdict is not False:
                return verdict
        return False

    return place(0)


def _teams(left: list[tuple[int, int]], crew: int) -> Iterator[dict[int, int]]:
    """Every way to take a crew from groups."""
    if crew == 0:
        yield {}
    elif left:
        (group, count), *others = left
        for taken in range(min(count, crew), -1, -1):
            for team in _teams(others, crew - taken):
                yield {group: taken, **team} if taken else team


def _solved(
    pieces: Sequence[_Piece], fits: NDArray[np.bool_], sizes: list[int]
) -> bool:
    """The same as a small model of its own; also true if that is not decided."""
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    sent: dict[tuple[int, int], cp_model.IntVar] = {}
    for number, piece in enumerate(pieces):
        for group in np.flatnonzero(fits[number]).tolist():
            most = min(piece.crew, sizes[group])
            sent[number, group] = model.new_int_var(0, most, "")
        own = [sent[key] for key in sent if key[0] == number]
        model.add(sum(own) == piece.crew)
    for piece in pieces:
        here = [
            number
            for number, other in enumerate(pieces)
            if other.start <= piece.start < other.end
        ]
        for group, size in enumerate(sizes):
            users = [sent[one, group] for one in here if (one, group) in sent]
            if len(users) > 1:
                model.add(sum(users) <= size)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_deterministic_time = PROOF_TIME
    return bool(solver.solve(model) != cp_model.INFEASIBLE)
