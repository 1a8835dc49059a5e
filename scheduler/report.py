"""The printed report of a plan: dates, hours, what limits, how good it is."""

from __future__ import annotations

from collections import defaultdict
from datetime import date
from textwrap import wrap
from typing import TYPE_CHECKING

from models.cautions import OVERTIME
from scheduler.commands.common import table
from scheduler.load import (
    hardest_worked_mold,
    late_waits,
    people_week_load,
    resource_use,
    station_week_load,
)
from scheduler.overtime_report import most_overtime, window_uses
from scheduler.plan_uses import TURN
from scheduler.reprep_report import reprep_lines

if TYPE_CHECKING:
    from collections.abc import Mapping

    from models.orders import Book
    from scheduler.bounding.book_bound import BookBound
    from scheduler.plan import Plan

WEEKS_SHOWN = 6
PEOPLE_SHOWN = 5
WAITS_SHOWN = 3
NEAR_ZERO = 0.1  # share of the value below which a bound says little per cent
UNITS = {
    "tardiness": "weighted working days late",
    "overtime": "price of overtime",
    "changes": "changes from the published plan",
    "work_in_process": "mold-, place- and boat-days at the yard's rates",
    "leveling": "hours squared from each station's mean week",
}


def report_lines(
    plan: Plan,
    book: Book | None = None,
    due_date_value: int | None = None,
    bounding: BookBound | None = None,
) -> list[str]:
    """Lay out the whole report."""
    zone = plan.problem.axis.zone_name
    start = plan.problem.axis.local(plan.problem.now).date()
    title = book.yard.name if book else "Plan"
    lines = [f"{title}: {counted(plan)} from {start}, times in {zone}"]
    lines += ["", "DATES", *order_lines(plan)]
    lines += [
        "",
        "HOURS BY STATION AND WEEK (planned / what the people there can give)",
    ]
    lines += load_lines(plan)
    lines += ["", "PEOPLE IN SHORTEST SUPPLY (share of their hours that is planned)"]
    names = {} if book is None else {one.id: one.name for one in book.yard.skills}
    lines += people_lines(plan, names)
    lines += ["", "WHAT LIMITS", *limit_lines(plan, names)]
    if plan.answer.services:
        lines += ["", "SERVICE OF MOLDS", *service_lines(plan)]
    if plan.problem.overtime:
        lines += ["", "OVERTIME", *overtime_lines(plan)]
    missed = reprep_lines(plan)
    if missed:
        lines += ["", "RE-PREPARATION", *missed]
    lines += ["", "HOW GOOD", *level_lines(plan, due_date_value)]
    lines += bound_lines(plan, bounding)
    lines += ["", *CAUTION]
    return lines


CAUTION = (
    "Caution: lay-up, gel coat, catalyst, grinding, lifting, confined spaces and fuel",
    "can hurt people. This plan shortens no cure and skips no handwork; it does not",
    "judge safety. Follow local codes, data sheets and licensed practice.",
)


def order_lines(plan: Plan) -> list[str]:
    """Each order's promised or proposed date, planned finish and lateness."""
    axis = plan.problem.axis
    orders = {one.order: one for one in plan.problem.orders}
    rows = []
    for one in sorted(plan.answer.orders, key=lambda row: row.finish):
        order = orders[one.order]
        given = order.promised or f"{one.proposed} (proposed)"
        late = f"{days(one.tardy_days)} late" if one.tardy_days else "on time"
        if order.promised is None and order.wanted:
            late += f", wanted {order.wanted}"
        finish = axis.local(max(0, one.finish - 1)).date().isoformat()
        rows.append((one.order, order.model, given, finish, late))
    late_count = sum(one.tardy_days > 0 for one in plan.answer.orders)
    heads = ("order", "model", "promised", "planned finish", "")
    return [*table(heads, rows), _late_line(plan, late_count)]


def _late_line(plan: Plan, late: int) -> str:
    if any(one.kind == "other" for one in plan.problem.orders):
        return f"Of {counted(plan)}, {late} {'is' if late == 1 else 'are'} late."
    return f"{late} of {counted(plan)} are late."


def counted(plan: Plan) -> str:
    """How many boats a plan has, and how many other jobs if there are any."""
    others = sum(one.kind == "other" for one in plan.problem.orders)
    boats = f"{len(plan.problem.orders) - others} boats"
    jobs = "1 other job" if others == 1 else f"{others} other jobs"
    return f"{boats} and {jobs}" if others else boats


def service_lines(plan: Plan) -> list[str]:
    """When each mold is out of use for its service."""
    axis = plan.problem.axis
    every = {one.id: one.service_every for one in plan.problem.molds}
    crewed = any(one.people for one in plan.answer.services)
    rows = [
        (
            one.mold,
            f"{axis.local(one.start):%Y-%m-%d %H:%M}",
            f"{axis.local(one.finish):%Y-%m-%d %H:%M}",
            str(every[one.mold]),
            *([", ".join(dict.fromkeys(s.person for s in one.people))] * crewed),
        )
        for one in sorted(plan.answer.services, key=lambda row: (row.start, row.mold))
    ]
    heads = ("mold", "from", "to", "after pulls", *(["people"] * crewed))
    return table(heads, rows, "   r")


def overtime_lines(plan: Plan) -> list[str]:
    """Opened windows with their price, the most that one person works, the caution."""
    uses, offered = window_uses(plan), len(plan.problem.overtime)
    if not uses:
        return [f"No window of overtime is opened; on offer: {offered}."]
    axis = plan.problem.axis
    rows = [
        (
            one.window.id,
            f"{axis.local(one.window.window[0]):%H:%M} to "
            f"{axis.local(one.window.window[1]):%H:%M}",
            str(len(one.people)),
            f"{one.hours:,.1f}",
            f"{one.price:,.0f}",
        )
        for one in uses
    ]
    hours, price = sum(one.hours for one in uses), sum(one.price for one in uses)
    lines = table(("window", "", "people", "hours", "price"), rows, "  rrr")
    lines.append(
        f"Opened: {len(uses)} of {offered} on offer, {hours:,.1f} labor hours for "
        f"{price:,.0f}."
    )
    most = most_overtime(plan)
    if most is not None:
        day, week = most
        lines.append(
            f"At most {day.hours:g} h on a day (limit {day.limit:g} h) and "
            f"{week.hours:g} h in a week (limit {week.limit:g} h) for one person."
        )
    return [*lines, *wrap(OVERTIME, width=84)]


def load_lines(plan: Plan) -> list[str]:
    """Hours by station for the first weeks, and the rest in one column."""
    loads = station_week_load(plan)
    weeks = sorted({one.week for one in loads})
    shown = weeks[:WEEKS_SHOWN]
    cells: dict[str, dict[date, tuple[float, float]]] = defaultdict(dict)
    for one in loads:
        cells[one.station][one.week] = (one.hours, one.capacity_hours)
    rows = []
    for station, by_week in sorted(cells.items()):
        row = [station]
        for week in shown:
            hours, capacity = by_week.get(week, (0.0, 0.0))
            row.append(f"{hours:.0f}/{capacity:.0f}")
        later = sum(hours for week, (hours, _) in by_week.items() if week not in shown)
        rows.append([*row, f"{later:.0f}"])
    heads = ["station", *(week_label(week) for week in shown), "later"]
    lines = table(heads, rows, " " + "r" * (len(shown) + 1))
    lines.append("People who can work at several stations count at each of them.")
    return lines


def week_label(monday: date) -> str:
    """The ISO week that begins on a Monday."""
    year, week, _ = monday.isocalendar()
    return f"{year}-W{week:02d}"


def called(resource: str, skills: Mapping[str, str]) -> str:
    """A resource as `scheduler.waiting_for` names it, skills by name instead of id."""
    for prefix, word in (
        ("people who can ", "people"),
        ("people who lead in ", "leads"),
    ):
        if resource.startswith(prefix):
            skill = resource.removeprefix(prefix)
            return f"{word} for {skills.get(skill, skill).lower()}"
    return resource


def people_lines(plan: Plan, names: Mapping[str, str]) -> list[str]:
    """The sets of skills whose people have least to spare in the weeks shown."""
    hours: dict[tuple[str, ...], list[float]] = defaultdict(list)
    capacity: dict[tuple[str, ...], list[float]] = defaultdict(list)
    weeks: dict[date, None] = {}
    for one in people_week_load(plan):
        weeks[one.week] = None
        hours[one.skills].append(one.hours)
        capacity[one.skills].append(one.capacity_hours)
    rows = []
    for skills, asked in hours.items():
        given = capacity[skills]
        shares = [
            _share(asked[k], given[k]) for k in range(min(WEEKS_SHOWN, len(asked)))
        ]
        later = _share(sum(asked[WEEKS_SHOWN:]), sum(given[WEEKS_SHOWN:]))
        row = [
            " or ".join(names.get(one, one).lower() for one in skills),
            *shares,
            later,
        ]
        soon = sum(asked[:WEEKS_SHOWN]) / max(1.0, sum(given[:WEEKS_SHOWN]))
        rows.append((soon, row))
    rows.sort(key=lambda pair: -pair[0])
    shown = list(weeks)[:WEEKS_SHOWN]
    heads = ["people for", *(week_label(week) for week in shown), "later"]
    right = " " + "r" * (len(shown) + 1)
    return table(heads, (row for _, row in rows[:PEOPLE_SHOWN]), right)


def _share(hours: float, capacity: float) -> str:
    return f"{hours / capacity * 100:.0f} %" if capacity else "-"


def limit_lines(plan: Plan, names: Mapping[str, str]) -> list[str]:
    """The hardest-worked mold, the fullest places, and what late boats wait for."""
    lines = []
    mold = hardest_worked_mold(plan)
    if mold is not None:
        lines.append(
            f"Hardest-worked mold: {mold.resource}, taken {mold.occupied_days:.0f} of "
            f"{mold.open_days:.0f} days ({mold.share * 100:.0f} %)."
        )
    lines += _fullest_places(plan)
    waits = late_waits(plan)
    if not any(one.tardy_days for one in plan.answer.orders):
        lines.append("No boat is late, so nothing holds a late boat up.")
    begin = "Late boats wait longest for"
    for one in [one for one in waits if one.resource != TURN][:WAITS_SHOWN]:
        boats = ", ".join(one.orders[:3]) + (" ..." if len(one.orders) > 3 else "")
        resource = called(one.resource, names)
        lines.append(f"{begin} {resource}: {length(one.days)} ({boats}).")
        begin = "  then for"
    for one in waits:
        if one.resource == TURN:
            lines.append(
                f"For {length(one.days)} nothing stands in their way; the plan gives "
                "other boats the turn."
            )
    return lines


def _fullest_places(plan: Plan) -> list[str]:
    taken: dict[str, list[float]] = defaultdict(lambda: [0.0, 0.0])
    for one in resource_use(plan):
        if one.kind != "mold":
            taken[one.kind][0] += one.occupied_days
            taken[one.kind][1] += one.open_days
    shares = {kind: used / given for kind, (used, given) in taken.items() if given}
    if not shares:
        return []
    kind = max(shares, key=lambda one: shares[one])
    return [f"Fullest places: those of kind {kind}, {shares[kind] * 100:.0f} % taken."]


def length(count: float) -> str:
    """A length of time, given in days; less than one is told in hours."""
    return days(count) if count >= 1 else f"{count * 24:.0f} h"


def days(count: float) -> str:
    """A number of days in words, rounded."""
    return "1 day" if round(count) == 1 else f"{count:.0f} days"


def level_lines(plan: Plan, due_date_value: int | None = None) -> list[str]:
    """Objective by level with its bound, and which method gave the plan."""
    rows = [
        (
            place,
            one.name.replace("_", " "),
            f"{one.value:,.0f}",
            "not stated" if one.bound is None else f"{one.bound:,.0f}",
            one.status,
            UNITS[one.name],
        )
        for place, one in enumerate(plan.answer.levels, start=1)
    ]
    lines = table(("", "level", "value", "at least", "", "unit"), rows, "r rr")
    first = plan.answer.levels[0]
    proven = "proven best" if first.status == "proven" else "not proven best"
    lines.append(f"Method: {plan.method}; level 1 is {proven}.")
    if due_date_value is not None:
        lines.append(
            f"Planning by earliest due date alone gives {due_date_value} weighted "
            "late days."
        )
    return lines


def bound_lines(plan: Plan, bounding: BookBound | None = None) -> list[str]:
    """How far the plan can be from the best, and what the bound rests on.

    The gap is told per cent only of a bound that is at least a tenth of the value.
    """
    first = plan.answer.levels[0]
    if first.bound is None or first.status == "proven":
        return []
    gap = first.value - first.bound
    share = ""
    if first.bound >= NEAR_ZERO * first.value:
        share = f" ({gap / first.value * 100:.0f} % of them)"
    lines = [f"No plan can save more than {gap:,.0f} weighted late days{share}."]
    if bounding is None:
        return lines
    if bounding.late:
        names = ", ".join(bounding.late)
        lines.append(f"Late in every plan, even alone in an empty yard: {names}.")
    if bounding.rests_on and first.bound == bounding.value:
        named = "; ".join(
            f"{name} ({part * 100:.0f} %)" for name, part in bounding.rests_on
        )
        lines.append(f"The bound rests on {named}.")
    elif not bounding.late:
        lines.append("No boat must be late alone, and no resource is proven short.")
    return lines


def changes_lines(before: Plan, after: Plan) -> list[str]:
    """The new orders' dates, and every earlier promise that moves."""
    axis = after.problem.axis
    old = {one.order: one for one in before.answer.orders}
    old_axis = before.problem.axis
    promised = {one.order: one.promised for one in after.problem.orders}
    fresh, moved = [], []
    for one in after.answer.orders:
        finish = axis.local(max(0, one.finish - 1)).date()
        if one.order not in old:
            date_given = promised[one.order] or f"{one.proposed} (proposed)"
            fresh.append((one.order, date_given, finish, _late(one.tardy_days)))
            continue
        earlier = old[one.order]
        was = old_axis.local(max(0, earlier.finish - 1)).date()
        if was != finish:
            kept = _kept(promised[one.order], earlier.tardy_days, one.tardy_days)
            moved.append((one.order, was, finish, kept))
    lines = ["NEW ORDERS BESIDE THE COMMITTED PLAN"]
    heads = ("order", "promised", "planned finish", "against wanted")
    lines += table(heads, fresh) if fresh else ["none"]
    lines += ["", "EARLIER DATES THAT MOVE"]
    heads = ("order", "was", "is now", "promise")
    lines += table(heads, moved) if moved else ["none: every earlier date stands"]
    lines += [
        f"{move.operation} moved inside the frozen window: {move.cause}"
        for move in after.answer.moves
    ]
    return lines


def _late(tardy_days: int) -> str:
    return f"{days(tardy_days)} late" if tardy_days else "in time"


def _kept(promised: str | None, before: int, after: int) -> str:
    if promised is None:
        return "none given"
    if after and not before:
        return f"{promised} now broken, {days(after)} late"
    if before and not after:
        return f"{promised} now kept"
    return f"{promised} {'late as before' if after else 'kept'}"
