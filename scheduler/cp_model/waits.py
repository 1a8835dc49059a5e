"""Cures, bond windows and other waits in the constraint model, exact to the tick."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from scheduler.cp_model.windows import WaitClock, counts
from scheduler.cp_model.work import common_axis, precede

if TYPE_CHECKING:
    from scheduler.cp_model.axes import TickAxis
    from scheduler.cp_model.draft import Draft
    from scheduler.cp_model.moments import Moment
    from scheduler.cp_model.setting import Setting
    from scheduler.cp_model.work import Work


def add_waits(draft: Draft, setting: Setting, works: dict[int, Work]) -> None:
    """Add every wait between two free operations.

    A wait from or to what stands is in the lists of starts already.
    """
    a = setting.a
    for wait in range(len(a.wait_before)):
        before, after = int(a.wait_before[wait]), int(a.wait_after[wait])
        if before not in works or after not in works or not counts(setting, wait):
            continue
        first, second = works[before], works[after]
        if first.job.begun is not None and not a.wait_before_end[wait]:
            continue
        _add_wait(draft, setting, wait, first, second)


def _add_wait(
    draft: Draft, setting: Setting, wait: int, first: Work, second: Work
) -> None:
    a = setting.a
    from_end, to_end = bool(a.wait_before_end[wait]), bool(a.wait_after_end[wait])
    begin = first.end if from_end else first.start
    until = second.end if to_end else second.start
    clock = WaitClock(setting, wait)
    axis = clock.axis or setting.axes.all
    if from_end and not to_end:
        precede(draft, setting, first, second)
    elif clock.least == 0:
        order = _exact_axis(setting, first, second, from_end, to_end)
        draft.model.add(begin.on(order).expr <= until.on(order).expr)
    if clock.cure >= 0:
        cured = begin.of(setting.cures[clock.cure])
        draft.model.add(until.on(setting.axes.all).expr >= cured.expr)
    elif clock.least > 0:
        draft.model.add(until.on(axis).expr >= begin.on(axis).expr + clock.least)
    if clock.most >= 0:
        draft.model.add(until.on(axis).expr <= begin.on(axis).expr + clock.most)
    if clock.axis is None and (clock.least > 0 or clock.cure >= 0):
        _add_days(draft, clock, begin, until)


def _exact_axis(
    setting: Setting, first: Work, second: Work, from_end: bool, to_end: bool
) -> TickAxis:
    """An axis on which the order of two moments is that on the wall clock."""
    if from_end and to_end and first.job.has_length:
        return first.job.axis
    if not from_end and not to_end and second.job.has_length:
        return second.job.axis
    if from_end and not to_end:
        return common_axis(setting, first, second)
    return setting.axes.all


def _add_days(draft: Draft, clock: WaitClock, begin: Moment, until: Moment) -> None:
    """Say in whole days what follows from a minimum wait: it prunes far better."""
    first, second = begin.split(), until.split()
    if first is None or second is None:
        return
    places = first.days.opening(first.place.low, early=first.is_early is not False)
    gaps = []
    for day, tick in enumerate(begin.axis.ticks[places].tolist()):
        earliest = clock.earliest(tick + int(begin.at_end)) - int(until.at_end)
        index = int(np.searchsorted(until.axis.ticks, earliest))
        there = second.days.day_of(index)
        if there == len(second.days.firsts):
            break
        gaps.append(there - day)
    if gaps:
        draft.model.add(second.day.expr >= first.day.expr + min(gaps))
