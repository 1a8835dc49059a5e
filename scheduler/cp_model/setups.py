"""Changes of color in the constraint model: pairs with a set-up between them.

The set-ups of a station keep the triangle inequality, so that a set-up between any two
is kept exactly where it is kept between neighbors.
"""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING

from scheduler.compiling.arrays import DONE, STARTED
from scheduler.cp_model.draft import negated
from scheduler.cp_model.work import keep_off, precede

if TYPE_CHECKING:
    from scheduler.cp_model.draft import Draft, Literal
    from scheduler.cp_model.setting import Setting
    from scheduler.cp_model.work import Work


def add_setups(draft: Draft, setting: Setting, works: dict[int, Work]) -> None:
    """Keep every set-up between two operations of different families."""
    a = setting.a
    for row in range(len(a.setup_at) - 1):
        listed = a.setup_list[a.setup_at[row] : a.setup_at[row + 1]]
        own = listed[~setting.is_left_out[listed]].tolist()
        for one, other in combinations(own, 2):
            gaps = _gap(setting, one, other), _gap(setting, other, one)
            if max(gaps) == 0 or not (one in works or other in works):
                continue
            if one in works and other in works:
                _add_pair(draft, setting, (works[one], works[other]), gaps)
            elif one in works:
                _add_beside(draft, setting, works[one], other)
            else:
                _add_beside(draft, setting, works[other], one)


def _gap(setting: Setting, first: int, second: int) -> int:
    a = setting.a
    return int(a.setup_ticks[a.setup_family[first], a.setup_family[second]])


def _add_beside(draft: Draft, setting: Setting, work: Work, fixed: int) -> None:
    """Keep the set-ups between a free operation and one that stands."""
    op, binding = work.job.op, setting.a.binding[fixed]
    begin = int(setting.start[fixed]) - _gap(setting, op, fixed)
    finish = int(setting.finish[fixed]) + _gap(setting, fixed, op)
    if binding in (DONE, STARTED):
        if work.job.begun is not None:
            return
        begin = -1  # what has begun comes first
    elif work.job.begun is not None:
        finish = setting.a.ticks + 1
    keep_off(draft, work.start, work.end, (begin, finish), [])


def _add_pair(
    draft: Draft, setting: Setting, pair: tuple[Work, Work], gaps: tuple[int, int]
) -> None:
    first, second = pair
    begun = [work.job.begun is not None for work in pair]
    if all(begun):
        return
    if any(begun) or _cannot(second, first, gaps[1]) or _cannot(first, second, gaps[0]):
        ahead = begun[0] or (not begun[1] and _cannot(second, first, gaps[1]))
        early, late, gap = (*pair, gaps[0]) if ahead else (second, first, gaps[1])
        _follow(draft, setting, early, late, gap, [])
        return
    start, other = first.start.at.value, second.start.at.value
    value = None
    if start is not None and other is not None:
        value = bool(first.job.axis.ticks[start] < second.job.axis.ticks[other])
    order = draft.choice(value)
    _follow(draft, setting, first, second, gaps[0], [order])
    _follow(draft, setting, second, first, gaps[1], [negated(order)])


def _cannot(first: Work, second: Work, gap: int) -> bool:
    """Whether one operation cannot be finished and set up before another starts."""
    return first.end.low + gap > second.start.high


def _follow(
    draft: Draft,
    setting: Setting,
    first: Work,
    second: Work,
    gap: int,
    condition: list[Literal],
) -> None:
    """Let one operation start after another and the set-up (if a condition holds)."""
    if first.end.high + gap <= second.start.low:
        return
    if gap == 0:
        precede(draft, setting, first, second, condition)
        return
    axis = setting.axes.all
    bound = draft.model.add(second.start.on(axis).expr >= first.end.on(axis).expr + gap)
    if condition:
        bound.only_enforce_if(condition)
