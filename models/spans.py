"""Lists of half-open spans [from, to) of ticks: merge, subtract, clip."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable

Span = tuple[int, int]


def merge(spans: Iterable[Span]) -> tuple[Span, ...]:
    """Sort spans, drop empty ones and join those that touch or overlap."""
    out: list[Span] = []
    for start, end in sorted(spans):
        if end <= start:
            continue
        if out and start <= out[-1][1]:
            out[-1] = (out[-1][0], max(out[-1][1], end))
        else:
            out.append((start, end))
    return tuple(out)


def subtract(spans: tuple[Span, ...], holes: Iterable[Span]) -> tuple[Span, ...]:
    """Take holes out of merged spans."""
    out = list(spans)
    for start, end in merge(holes):
        first = max(bisect_right(out, (start, start)) - 1, 0)
        last = bisect_right(out, (end, end))
        rest: list[Span] = []
        for one_start, one_end in out[first:last]:
            pieces = ((one_start, min(one_end, start)), (max(one_start, end), one_end))
            rest += [piece for piece in pieces if piece[0] < piece[1]]
        out[first:last] = rest
    return tuple(out)


def clip(spans: Iterable[Span], start: int, end: int) -> tuple[Span, ...]:
    """Keep what lies in [start, end)."""
    inside = ((max(one[0], start), min(one[1], end)) for one in spans)
    return tuple(one for one in inside if one[0] < one[1])
