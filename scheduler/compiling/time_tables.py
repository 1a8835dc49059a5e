"""The work axis and its tracks, as arrays."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from scheduler.compiling.arrays import I32

if TYPE_CHECKING:
    from collections.abc import Iterable

    from scheduler.problem import Calendar, Operation, Problem, Span


@dataclass(frozen=True)
class Tracks:
    """The work axis and the tracks on it (see `scheduler.compiling.arrays`)."""

    ref_of: I32
    position_at: I32
    track_at: I32
    open_position: I32
    run_end: I32
    run_begin: I32
    in_break: NDArray[np.int8]
    open_index: I32
    segment_of: I32
    segment_at: I32
    of_calendar: dict[str, int]
    of_relieved: dict[str, int]

    @property
    def positions(self) -> int:
        """Length of the work axis."""
        return len(self.ref_of) - 1

    def longest_runs(self) -> list[int]:
        """Ticks of the longest unbroken run of each track."""
        longest = []
        for first, last in pairwise(self.track_at):
            runs = self.run_end[first:last] - self.run_begin[first:last]
            longest.append(int(runs.max(initial=0)))
        return longest

    def of_operation(self, operation: Operation) -> int:
        """The track on which an operation runs."""
        if operation.one_go and operation.calendar in self.of_relieved:
            return self.of_relieved[operation.calendar]
        return self.of_calendar[operation.calendar]


def mask(spans: Iterable[Span], ticks: int) -> np.ndarray:
    """Mark the ticks of spans on an axis."""
    edges = np.array([*spans], np.int64).reshape(-1, 2).clip(0, ticks)
    inside = np.zeros(ticks + 1, np.int64)
    np.add.at(inside, edges[:, 0], 1)
    np.subtract.at(inside, edges.max(axis=1), 1)
    marks: np.ndarray = inside.cumsum()[:-1] > 0
    return marks


def build_tracks(problem: Problem) -> Tracks:
    """Lay every calendar that work or waits use on one work axis."""
    ticks = problem.axis.ticks
    calendars = {one.id: one for one in problem.calendars}
    used = sorted(
        {one.calendar for one in problem.operations}
        | {
            one.calendar
            for one in problem.waits
            if one.clock == "work" and one.calendar
        }
    )
    relieved = sorted(
        {
            one.calendar
            for one in problem.operations
            if one.one_go and calendars[one.calendar].breaks_relieved
        }
    )
    masks = [mask(calendars[name].open, ticks) for name in used]
    masks += [_relieved_mask(calendars[name], ticks) for name in relieved]
    any_open = np.zeros(ticks, np.bool_)
    for one in masks:
        any_open |= one
    ref_of = np.append(np.flatnonzero(any_open), ticks).astype(np.int32)
    position_at = np.concatenate([[0], np.cumsum(any_open)]).astype(np.int32)
    rows, runs, begins, index = [], [], [], []
    regular = [mask(calendars[name].open, ticks) for name in (*used, *relieved)]
    in_break = [(~plain)[one] for one, plain in zip(masks, regular, strict=True)]
    for one in masks:
        positions = position_at[:-1][one].astype(np.int32)
        rows.append(positions)
        ends = _run_ends(ref_of[positions])
        runs.append(ends)
        begins.append(_run_begins(ends))
        on_axis = one[ref_of[:-1]]
        index.append(np.concatenate([[0], np.cumsum(on_axis)]).astype(np.int32))
    segment_at = _segments(len(ref_of) - 1, rows, runs)
    return Tracks(
        ref_of=ref_of,
        position_at=position_at,
        track_at=np.concatenate([[0], np.cumsum([len(row) for row in rows])]).astype(
            np.int32
        ),
        open_position=np.concatenate(rows).astype(np.int32),
        run_end=np.concatenate(runs).astype(np.int32),
        run_begin=np.concatenate(begins).astype(np.int32),
        in_break=np.concatenate(in_break).astype(np.int8),
        open_index=np.stack(index).astype(np.int32),
        segment_of=np.repeat(
            np.arange(len(segment_at) - 1, dtype=np.int32), np.diff(segment_at)
        ),
        segment_at=segment_at,
        of_calendar={name: place for place, name in enumerate(used)},
        of_relieved={name: len(used) + place for place, name in enumerate(relieved)},
    )


def _relieved_mask(calendar: Calendar, ticks: int) -> np.ndarray:
    """Open ticks with those breaks that have open time on both sides."""
    is_open = mask(calendar.open, ticks)
    out = is_open.copy()
    for start, end in calendar.breaks:
        if 0 < start < end < ticks and is_open[start - 1] and is_open[end]:
            out[start:end] = True
    return out


def _run_ends(refs: np.ndarray) -> np.ndarray:
    """For each open tick, the index after the last one of its unbroken run."""
    if len(refs) == 0:
        return np.zeros(0, np.int32)
    breaks = np.flatnonzero(np.diff(refs) != 1) + 1
    ends = np.append(breaks, len(refs))
    return ends[np.searchsorted(ends, np.arange(len(refs)), side="right")]


def _segments(positions: int, rows: list[np.ndarray], runs: list[np.ndarray]) -> I32:
    """Offsets of the segments: wherever a run of some track begins or ends."""
    edges = [np.array([0, positions])]
    for row, ends in zip(rows, runs, strict=True):
        last = np.unique(ends) - 1
        first = np.concatenate([[0], last[:-1] + 1])[: len(last)]
        edges += [row[first], row[last] + 1]
    return np.unique(np.concatenate(edges)).astype(np.int32)


def _run_begins(ends: np.ndarray) -> np.ndarray:
    """For each open tick, the index that begins its unbroken run."""
    return np.searchsorted(ends, ends, side="left")


def masks_of_people(
    problem: Problem, tracks: Tracks
) -> tuple[dict[str, np.ndarray], dict[str, np.ndarray]]:
    """Per person, at which positions of the work axis they can be on an operation.

    The first masks hold available time and those relieved breaks that are the
    person's own breaks as well: a one-go operation keeps its crew through them. The
    second hold these breaks alone, in which no other work may have the person.
    """
    ticks = problem.axis.ticks
    relieved = np.zeros(ticks, np.bool_)
    for calendar in problem.calendars:
        if calendar.id in tracks.of_relieved:
            relieved |= _relieved_mask(calendar, ticks) & ~mask(calendar.open, ticks)
    refs = tracks.ref_of[:-1]
    known: dict[tuple[Span, ...], tuple[np.ndarray, np.ndarray]] = {}
    there, resting = {}, {}
    for person in problem.people:
        if person.available not in known:
            free = mask(person.available, ticks)
            rest = relieved & _short_gaps(free) & ~free
            known[person.available] = ((free | rest)[refs], rest[refs])
        there[person.id], resting[person.id] = known[person.available]
    return there, resting


def _short_gaps(free: np.ndarray, longest_ticks: int = 8) -> np.ndarray:
    """Ticks inside gaps of at most `longest_ticks` between two free stretches."""
    edges = np.diff(np.concatenate([[0], free.astype(np.int8), [0]]))
    starts, ends = np.flatnonzero(edges == 1), np.flatnonzero(edges == -1)
    gaps = np.stack([ends[:-1], starts[1:]], axis=1)
    short = gaps[gaps[:, 1] - gaps[:, 0] <= longest_ticks]
    return mask(short, len(free))
