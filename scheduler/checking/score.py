"""Finishes, tardy days, proposed dates, levels and bounds, worked out anew (R14)."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import Counter, defaultdict
from collections.abc import Iterator
from datetime import date, timedelta
from fractions import Fraction

from scheduler.checking.clock import Clock, Spans
from scheduler.checking.document import Document
from scheduler.checking.overtime import overtime_price
from scheduler.checking.shape import Row

TOLERANCE = 1e-6
RELATIVE = 1e-12  # of sums of many squares in floating point


class WorkingDays:
    """Local days on which a calendar is open, and when the last shift of each ends."""

    def __init__(self, clock: Clock, open_time: Spans) -> None:
        ends: dict[date, int] = {}
        for start, end in open_time.pairs():
            day = clock.day(start)
            while True:  # a span may cross midnight where shifts meet there
                midnight = clock.midnight(day + timedelta(days=1))
                ends[day] = min(end, midnight)
                if end <= midnight:
                    break
                day += timedelta(days=1)
        self.days = sorted(ends)
        self.ends = [ends[day] for day in self.days]

    def of_finish(self, tick: int) -> int:
        """Number of working days that have ended before a tick."""
        return bisect_left(self.ends, tick)

    def of_due(self, due: date) -> int:
        """Number of the last working day on or before a date, -1 for none."""
        return bisect_right(self.days, due) - 1


def check_score(doc: Document) -> Iterator[str]:
    """Yield results and levels that are not what the plan amounts to."""
    yield from _published_places(doc)
    if set(doc.planned) != set(doc.operations):
        return  # told already; finishes of part of a boat mean nothing
    finishes = dict.fromkeys(doc.orders, -(10**18))
    for id, row in doc.planned.items():
        order = doc.operations[id]["order"]
        finishes[order] = max(finishes[order], row["finish"])
    calendar = doc.calendars[doc.facts["delivery_calendar"]]
    days = WorkingDays(doc.clock, calendar.open)
    yield from _results(doc, finishes, days)
    yield from _levels(doc, finishes, days)


def _published_places(doc: Document) -> Iterator[str]:
    counts = Counter(row["order"] for row in doc.results)
    for order in sorted(doc.orders.keys() | counts.keys()):
        if order not in doc.orders:
            yield f"Order {order} has a result but is not in the problem."
        elif counts[order] != 1:
            yield f"Order {order} has {counts[order]} results, not one."


def _tardy_days(order: Row, finish: int, days: WorkingDays) -> int:
    due = order["promised"] or order["wanted"]
    if due is None:
        return 0
    return max(0, days.of_finish(finish) - days.of_due(due))


def _results(
    doc: Document, finishes: dict[str, int], days: WorkingDays
) -> Iterator[str]:
    for row in doc.results:
        name = row["order"]
        order = doc.orders.get(name)
        if order is None:
            continue
        finish = finishes[name]
        if row["finish"] != finish:
            yield (
                f"Order {name} is said to finish {doc.clock.when(row['finish'])}, but "
                f"its last work ends {doc.clock.when(finish)}."
            )
        tardy = _tardy_days(order, finish, days)
        if row["tardy_days"] != tardy:
            yield (
                f"Order {name} is said to be {row['tardy_days']} working days late, "
                f"but is {tardy}."
            )
        proposed = None
        if order["promised"] is None:
            index = days.of_finish(finish) + doc.facts["buffer_days"]
            if index >= len(days.days):
                yield f"The calendar ends before order {name} can be proposed a date."
                continue
            proposed = days.days[index]
        if row["proposed"] != proposed:
            yield (
                f"Order {name} is proposed for {row['proposed'] or 'no date'}, but "
                f"{proposed or 'no date'} is right."
            )


def _levels(
    doc: Document, finishes: dict[str, int], days: WorkingDays
) -> Iterator[str]:
    names = doc.facts["objective"]["levels"]
    if [row["name"] for row in doc.levels] != names:
        yield f"The levels are not {', '.join(names)} in this order."
        return
    values = {
        "tardiness": lambda: Fraction(
            sum(
                order["weight"] * _tardy_days(order, finishes[name], days)
                for name, order in doc.orders.items()
            )
        ),
        "overtime": lambda: overtime_price(doc),
        "changes": lambda: Fraction(changes(doc)),
        "work_in_process": lambda: work_in_process(doc, finishes),
        "leveling": lambda: leveling(doc, finishes),
    }
    proven_so_far = True
    for row in doc.levels:
        if row["name"] not in values:
            yield f"Level {row['name']} is not known to the checker."
            continue
        value = values[row["name"]]()
        if abs(Fraction(row["value"]) - value) > max(TOLERANCE, RELATIVE * value):
            yield (
                f"Level {row['name']} is said to be {row['value']:g}, but is "
                f"{float(value):g}."
            )
        yield from _bound(row, value, proven_so_far)
        proven_so_far = proven_so_far and row["status"] == "proven"


def _bound(row: Row, value: Fraction, may_state: bool) -> Iterator[str]:
    name, bound, status = row["name"], row["bound"], row["status"]
    if not may_state and (bound is not None or status != "feasible"):
        yield (
            f"Level {name} states a bound or proof, although a level before it is not "
            "proven."
        )
        return
    if (bound is None) != (status == "feasible"):
        stated = "no bound" if bound is None else f"a bound of {bound:g}"
        yield f"Level {name} is called {status}, but has {stated}."
    elif bound is not None:
        above = Fraction(bound) - value
        if above > TOLERANCE:
            yield (
                f"The bound {bound:g} of level {name} is above its value "
                f"{float(value):g}."
            )
        elif status == "proven" and -above > TOLERANCE:
            yield (
                f"Level {name} is called proven, but its bound {bound:g} is below its "
                f"value {float(value):g}."
            )


def changes(doc: Document) -> int:
    """Count start days and people changed from what was published, not frozen."""
    count = 0
    for before in doc.published:
        if before["start"] < doc.facts["frozen_until"]:
            continue
        row = doc.planned[before["operation"]]
        count += doc.clock.day(row["start"]) != doc.clock.day(before["start"])
        people = {person for person, _, _ in row["people"]}
        count += len(set(before["people"]) - people)
    return count


def work_in_process(doc: Document, finishes: dict[str, int]) -> Fraction:
    """Mold days, place days and days from first start to finish, each at its rate."""
    held = {"mold": 0, "place": 0}
    for row in doc.occupations:
        kind = "mold" if row["resource"] in doc.molds else "place"
        held[kind] += row["to"] - row["from"]
    first: dict[str, int] = {}
    for id, row in doc.planned.items():
        order = doc.operations[id]["order"]
        first[order] = min(first.get(order, row["start"]), row["start"])
    flow = sum(finish - first[order] for order, finish in finishes.items())
    rates = doc.facts["objective"]
    total = (
        Fraction(rates["mold_day_rate"]) * held["mold"]
        + Fraction(rates["place_day_rate"]) * held["place"]
        + Fraction(rates["flow_day_rate"]) * flow
    )
    return total / Fraction(24 * 60, doc.clock.tick_minutes)


def leveling(doc: Document, finishes: dict[str, int]) -> Fraction:
    """Squared deviations of each station's hours a week from its mean, summed."""
    clock = doc.clock
    last = max([doc.facts["now"], *finishes.values()])
    day = clock.day(doc.facts["now"])
    day -= timedelta(days=(day.isoweekday() - doc.facts["week_start"]) % 7)
    weeks = [clock.midnight(day)]
    while weeks[-1] <= last:
        day += timedelta(days=7)
        weeks.append(clock.midnight(day))
    load: dict[str, list[int]] = defaultdict(lambda: [0] * (len(weeks) - 1))
    for id, row in doc.planned.items():
        hours = load[doc.operations[id]["station"]]
        for begin, end in row["segments"]:
            week = max(0, bisect_right(weeks, begin) - 1)
            while week < len(hours) and weeks[week] < end:
                inside = min(end, weeks[week + 1]) - max(begin, weeks[week])
                hours[week] += row["crew"] * max(0, inside)
                week += 1
    total = Fraction(0)
    for ticks in load.values():
        mean = Fraction(sum(ticks), len(ticks))
        total += sum((each - mean) ** 2 for each in ticks)
    return total * Fraction(clock.tick_minutes, 60) ** 2
