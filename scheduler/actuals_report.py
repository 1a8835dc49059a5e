"""Earned against actual hours, and what standards they suggest, in tables."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Sequence
from datetime import date
from typing import Any

from models.actuals.decisions import Standards
from models.actuals.earned import StationWeek
from models.actuals.estimates import Estimate
from scheduler.commands.common import plural, table
from scheduler.report import week_label

WEEKS_SHOWN = 6
MOST_NAMED = 5
HOW_EARNED = (
    "Earned: standard hours of what was finished; of work under way, only where the",
    "floor said what remains. Rework earns nothing; its hours count as worked.",
    "Efficiency: earned over worked hours.",
)
HOW_ESTIMATED = (
    "Own: hours worked over standard hours, the mean of these boats. Suggested: the",
    "same, pulled to the step on all models and to the standard as it is; the fewer",
    "boats, the more. Within: two standard errors each way.",
)


def earned_lines(rows: Sequence[StationWeek]) -> list[str]:
    """A row for each station: the newest weeks, those before, and all of them."""
    if not rows:
        return ["No hours were recorded and nothing was finished yet."]
    cells: dict[str, dict[date, tuple[float, float]]] = defaultdict(dict)
    for one in rows:
        cells[one.station][one.week] = (one.earned_hours, one.actual_hours)
    weeks = sorted({one.week for one in rows})
    shown = weeks[-WEEKS_SHOWN:]
    lines = [_earned_row(name, cells[name], shown) for name in sorted(cells)]
    total: dict[date, tuple[float, float]] = {
        week: _sums([by_week.get(week, (0.0, 0.0)) for by_week in cells.values()])
        for week in weeks
    }
    lines.append(_earned_row("all stations", total, shown))
    heads = ["station", "before", *(week_label(week) for week in shown)]
    right = " " + "r" * (len(shown) + 3)
    out = table([*heads, "all weeks", "efficiency"], lines, right)
    return [*out, *HOW_EARNED, *_unrecorded_line(rows)]


def _earned_row(
    name: str, by_week: dict[date, tuple[float, float]], shown: Sequence[date]
) -> list[str]:
    before = _sums([by_week[week] for week in by_week if week not in shown])
    whole = _sums(list(by_week.values()))
    share = f"{whole[0] / whole[1] * 100:.0f} %" if whole[1] else "-"
    cells = [_pair(by_week.get(week, (0.0, 0.0))) for week in shown]
    return [name, _pair(before), *cells, _pair(whole), share]


def _sums(pairs: Sequence[tuple[float, float]]) -> tuple[float, float]:
    return sum(one for one, _ in pairs), sum(other for _, other in pairs)


def _pair(hours: tuple[float, float]) -> str:
    return f"{hours[0]:.0f}/{hours[1]:.0f}" if any(hours) else "-"


def _unrecorded_line(rows: Sequence[StationWeek]) -> list[str]:
    hours = sum(one.unrecorded_hours for one in rows)
    if hours < 0.5:
        return []
    return [
        f"Finished without recorded hours, and not counted: {hours:.0f} standard hours."
    ]


def suggestion_lines(
    rows: Sequence[Estimate],
    suggested: Collection[Estimate],
    now: Standards,
    *,
    every: bool,
) -> list[str]:
    """Estimates that are to be looked at, or every one, and what they mean."""
    if not rows:
        return [
            "No step was finished on two boats of a model, with hours: no estimate."
        ]
    shown = [one for one in rows if every or one in suggested]
    lines = []
    if shown:
        heads = ("model", "step", "boats", "standard", "worked", "own", "now")
        cells = [
            (
                one.model,
                one.operation,
                one.boats,
                f"{one.standard_hours:.2f}",
                f"{one.actual_hours:.2f}",
                f"x {one.own_factor:.2f}",
                f"x {now.factor((one.model, one.operation)):.2f}",
                f"x {one.factor:.2f}",
                within_text(one),
            )
            for one in shown
        ]
        lines += [
            *table((*heads, "suggested", "within"), cells, "  rrrrrrr"),
            *HOW_ESTIMATED,
        ]
    others = len(rows) - len(shown)
    if others:
        figures = plural(others, "more figure")
        verb = "lies" if others == 1 else "lie"
        lines.append(
            f"{figures} {verb} too near the standard that holds to tell from chance "
            "(--all lists them)."
        )
    return lines


def within_text(one: Estimate) -> str:
    """Two standard errors each way."""
    low, high = one.interval
    return f"{low:.2f} to {high:.2f}"


def flagged_lines(rows: Sequence[Estimate]) -> list[str]:
    """Boats whose hours lie far from the others."""
    cells = [
        (
            step.order,
            step.operation,
            step.finished.isoformat(),
            f"{step.standard_hours:.2f}",
            f"{step.actual_hours:.2f}",
        )
        for one in rows
        for step in one.flagged
    ]
    if not cells:
        return []
    heads = ("order", "step", "finished", "standard", "worked")
    return [
        "",
        "FAR FROM THE OTHERS",
        *table(heads, cells, "   rr"),
        "Each counts as if it lay on the fence: 3.5 by the modified z-score, at least",
        "25 %. Is it a slip? hullpace record ... --corrects N",
    ]


def decided_lines(now: Standards) -> list[str]:
    """Accepted standards that hold, and those that rates have overtaken."""
    rows = [
        (*key, one.boats, f"x {one.factor:.2f}", state)
        for held, state in ((now.held, "holds"), (now.outdated, "holds no more"))
        for key, one in sorted(held.items())
    ]
    if not rows:
        return []
    lines = ["", "ACCEPTED STANDARDS"]
    lines += table(("model", "step", "boats", "factor", ""), rows, "  rr")
    if now.outdated:
        lines.append("What holds no more was accepted for other rates than the files'.")
    return lines


def left_out_line(orders: Sequence[str]) -> list[str]:
    """Boats for which the yard has no standard any more."""
    if not orders:
        return []
    more = ", ..." if len(orders) > MOST_NAMED else ""
    return [
        "",
        f"Without a standard, and left out: {', '.join(orders[:MOST_NAMED])}{more} (a "
        "model, option or layout of before, or a new model's boat that has left).",
    ]


def as_object(
    rows: Sequence[StationWeek],
    found: Sequence[Estimate],
    suggested: Collection[Estimate],
    left_out: Sequence[str],
    now: Standards,
) -> dict[str, Any]:
    """All of it for other programs."""
    return {
        "earned": [
            {
                "station": one.station,
                "week": week_label(one.week),
                "earned_hours": round(one.earned_hours, 2),
                "actual_hours": round(one.actual_hours, 2),
                "unrecorded_hours": round(one.unrecorded_hours, 2),
            }
            for one in rows
        ],
        "standards": [_estimate(one, one in suggested, now) for one in found],
        "left_out": list(left_out),
    }


def _estimate(one: Estimate, suggested: bool, now: Standards) -> dict[str, Any]:
    return {
        "model": one.model,
        "operation": one.operation,
        "boats": one.boats,
        "standard_hours": round(one.standard_hours, 2),
        "actual_hours": round(one.actual_hours, 2),
        "own_factor": round(one.own_factor, 4),
        "operation_factor": round(one.operation_factor, 4),
        "factor": round(one.factor, 4),
        "factor_now": now.factor((one.model, one.operation)),
        "relative_error": round(one.relative_error, 4),
        "suggested": suggested,
        "flagged": [step.order for step in one.flagged],
    }
