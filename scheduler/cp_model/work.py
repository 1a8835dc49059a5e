"""Operations in the constraint model, and the order between two of them.

An operation is a start index on its own axis with one Boolean for each crew size that
is worth choosing.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np

from scheduler.cp_model.draft import Quantity, domain_of, negated
from scheduler.cp_model.moments import Moment

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from scheduler.cp_model.axes import TickAxis
    from scheduler.cp_model.draft import Draft, Literal
    from scheduler.cp_model.setting import Setting
    from scheduler.cp_model.windows import Job, Mode, Windows

    Ints = NDArray[np.int64]


@dataclass
class Work:
    """One free operation in the model."""

    job: Job
    chosen: list[Literal]  # by mode; True where there is only one
    start: Moment
    end: Moment
    crew: Any  # expressions, by the crew chosen
    length: Any
    there: Literal = True  # a service of a mold only where it is needed
    intervals: dict[int, Any] = field(default_factory=dict)  # by axis

    @property
    def modes(self) -> list[Mode]:
        """Crew sizes worth choosing."""
        return self.job.modes


def add_work(draft: Draft, setting: Setting, windows: Windows) -> dict[int, Work]:
    """Add every free operation."""
    return {op: _add_operation(draft, setting, job) for op, job in windows.jobs.items()}


def _add_operation(draft: Draft, setting: Setting, job: Job) -> Work:
    hint, op = setting.hint, job.op
    value = mode = None
    if hint is not None:
        value = int(hint.index[op] if job.has_length else hint.start[op])
        lengths = [one.length for one in job.modes]
        if is_absent(setting, op):
            value, mode = int(job.modes[0].starts[0]), 0
        elif int(hint.length[op]) in lengths:
            mode = lengths.index(int(hint.length[op]))
    starts = job.modes[0].starts
    for one in job.modes[1:]:
        starts = np.union1d(starts, one.starts)
    at = _number(draft, starts, value)
    chosen: list[Literal] = [True]
    if len(job.modes) > 1:
        chosen = [
            draft.choice(None if mode is None else mode == number)
            for number in range(len(job.modes))
        ]
        draft.model.add_exactly_one(chosen)
    start = end = Moment(draft, job.axis, at, allowed=starts)
    crew = _by_mode(draft, chosen, [one.crew for one in job.modes], mode)
    length = _by_mode(draft, chosen, [one.length for one in job.modes], mode)
    if job.has_length:
        one_go = bool(setting.a.one_go[op])
        if one_go and len(job.modes) > 1 and not _ends_in_its_day(start):
            _fit_runs(draft, job, at, chosen)
        last = _last_tick(draft, job, at, length, mode)
        same_day = start if one_go else None
        end = Moment(draft, job.axis, last, at_end=True, same_day=same_day)
        if one_go and len(job.modes) > 1:
            end.split()  # the same day for both keeps the work inside it
    there: Literal = True
    if setting.a.boat_of[op] >= setting.a.boats:
        there = draft.choice(None if hint is None else not is_absent(setting, op))
    return Work(job, chosen, start, end, crew, length, there)


def is_absent(setting: Setting, op: int) -> bool:
    """Whether the hint leaves out an operation: a service that it does not need."""
    hint = setting.hint
    service = setting.a.boat_of[op] >= setting.a.boats
    return bool(hint is not None and service and hint.length[op] == 0)


def _by_mode(
    draft: Draft, chosen: list[Literal], values: list[int], mode: int | None
) -> Any:
    """A figure that goes with the crew chosen, as an expression.

    One interval whose size and demand depend on the crew prunes far better here than
    an optional interval for each crew.
    """
    if len(values) == 1:
        return values[0]
    if len(values) == 2:
        return values[0] + (values[1] - values[0]) * chosen[1]
    value = None if mode is None else values[mode]
    number = draft.whole(min(values), max(values), value)
    terms = [one * literal for one, literal in zip(values, chosen, strict=True)]
    draft.model.add(number.expr == sum(terms))
    return number.expr


def _ends_in_its_day(start: Moment) -> bool:
    """Whether the place in the day keeps a one-go operation inside an unbroken run."""
    split = start.split()
    if split is None:
        return False
    return split.days.are_runs(start.axis, early=split.is_early is not False)


def _fit_runs(draft: Draft, job: Job, at: Quantity, chosen: list[Literal]) -> None:
    """Let each crew of a one-go operation start only where its run is long enough."""
    for mode, literal in zip(job.modes, chosen, strict=True):
        domain = domain_of(mode.starts.tolist())
        inside = draft.model.add_linear_expression_in_domain(at.expr, domain)
        inside.only_enforce_if(literal)


def _number(draft: Draft, values: Ints, hint: int | None) -> Quantity:
    low, high = int(values[0]), int(values[-1])
    dense = high - low + 1 == len(values)
    return draft.whole(low, high, hint, None if dense else values.tolist())


def _last_tick(
    draft: Draft, job: Job, at: Quantity, length: Any, mode: int | None
) -> Quantity:
    """The index of the last worked tick."""
    if len(job.modes) == 1:
        return at.plus(job.modes[0].length - 1)
    low = min(int(one.starts[0]) + one.length for one in job.modes) - 1
    high = max(int(one.starts[-1]) + one.length for one in job.modes) - 1
    value = None
    if at.value is not None and mode is not None:
        value = at.value + job.modes[mode].length - 1
    last = draft.whole(low, high, value)
    draft.model.add(last.expr == at.expr + length - 1)
    return last


def interval_of(draft: Draft, work: Work, axis: TickAxis) -> Any:
    """The interval of an operation on an axis."""
    if id(axis) not in work.intervals:
        start, end = work.start.on(axis), work.end.on(axis)
        if axis is work.job.axis:
            size = work.length
        else:
            size = _size(draft, work, axis, start, end)
        shape = start.expr, size, end.expr
        if work.there is True:
            interval = draft.model.new_interval_var(*shape, "")
        else:
            interval = draft.model.new_optional_interval_var(*shape, work.there, "")
        work.intervals[id(axis)] = interval
    return work.intervals[id(axis)]


def _size(
    draft: Draft, work: Work, axis: TickAxis, start: Quantity, end: Quantity
) -> Any:
    ticks = work.job.axis.ticks
    edges = [
        (ticks[mode.starts], ticks[mode.starts + mode.length - 1] + 1)
        for mode in work.modes
    ]
    sizes = np.concatenate(
        [axis.before[last] - axis.before[first] for first, last in edges]
    )
    value = None
    if start.value is not None and end.value is not None:
        value = end.value - start.value
    return draft.whole(int(sizes.min()), int(sizes.max()), value).expr


def add_clashes(draft: Draft, setting: Setting, works: dict[int, Work]) -> None:
    """Keep exclusive work in a part apart from all other work in it."""
    a = setting.a
    for op in range(len(a.boat_of)):
        for k in range(a.clash_at[op], a.clash_at[op + 1]):
            other = int(a.clash_list[k])
            if other > op and (op in works or other in works):
                _keep_apart(draft, setting, works, op, other)


def _keep_apart(
    draft: Draft, setting: Setting, works: dict[int, Work], op: int, other: int
) -> None:
    pair = [one for one in (op, other) if one in works]
    if any(not works[one].job.has_length for one in pair):
        return
    if len(pair) == 1:
        free = works[pair[0]]
        fixed = other if pair[0] == op else op
        begin, finish = int(setting.start[fixed]), int(setting.finish[fixed])
        if begin < finish and free.job.begun is None:
            keep_off(draft, free.start, free.end, (begin, finish), [])
        return
    first, second = works[op], works[other]
    if (first.job.begun is None) != (second.job.begun is None):
        early, late = (first, second) if second.job.begun is None else (second, first)
        precede(draft, setting, early, late)
        return
    order = draft.choice(_comes_first(first, second))
    precede(draft, setting, first, second, [order])
    precede(draft, setting, second, first, [negated(order)])


def _comes_first(first: Work, second: Work) -> bool | None:
    axis = first.job.axis
    end, start = first.end.on(axis).value, second.start.on(axis).value
    return None if end is None or start is None else end <= start


def precede(
    draft: Draft,
    setting: Setting,
    first: Work,
    second: Work,
    condition: list[Literal] | None = None,
) -> None:
    """Let one operation end at or before another starts (if a condition holds)."""
    axis = common_axis(setting, first, second)
    bound = draft.model.add(first.end.on(axis).expr <= second.start.on(axis).expr)
    if condition:
        bound.only_enforce_if(condition)


def common_axis(setting: Setting, first: Work, second: Work) -> TickAxis:
    """An axis on which "one ends before the other starts" is exact."""
    axes = [w.job.axis for w in (first, second) if w.job.has_length]
    if not axes:
        return setting.axes.all
    return min(axes, key=len)


def keep_off(
    draft: Draft,
    start: Moment | int,
    end: Moment | int,
    span: tuple[int, int],
    condition: list[Literal],
) -> None:
    """Keep what lies between two moments off a span of ticks (if a condition holds)."""
    first, last = span
    choices: list[Literal] = []
    for moment, limit, at_least in ((end, first, False), (start, last, True)):
        verdict = _side(draft, moment, limit, at_least)
        if verdict is True:
            return
        if verdict is not False:
            choices.append(verdict)
    clause = choices + [negated(literal) for literal in condition]
    draft.model.add_bool_or(clause)


def _side(draft: Draft, moment: Moment | int, limit: int, at_least: bool) -> Any:
    """Whether a moment is at or after a tick (or at or before it)."""
    if isinstance(moment, int):
        return moment >= limit if at_least else moment <= limit
    ticks = moment.axis.ticks
    if at_least:
        index = int(np.searchsorted(ticks + moment.at_end, limit))
        return draft.reached(moment.at, index)
    index = int(np.searchsorted(ticks + moment.at_end, limit, side="right"))
    return negated(draft.reached(moment.at, index))
