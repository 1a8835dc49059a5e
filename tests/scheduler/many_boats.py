"""The small plan many times over, side by side and one after another.

`python -m tests.scheduler.many_boats 64 10` measures the checker on 16,000 operations.
"""

from __future__ import annotations

import json
import platform
import statistics
import sys
import time
from collections.abc import Callable
from dataclasses import fields, is_dataclass, replace
from datetime import UTC, date, datetime, timedelta
from itertools import product
from typing import Any

from models.axis import Axis
from scheduler.checker import check
from scheduler.levels import level_values
from scheduler.plan import Answer, Level, Plan
from scheduler.plan_file import plan_to_json
from scheduler.problem import Calendar, Person, Span
from tests.scheduler.small_plan import small_plan

DAYS = 49  # the small plan's axis
TICKS = DAYS * 96
# A zone without clock changes, so that every round looks like the first.
ZONE = "America/Phoenix"
INSTANTS = {"start", "finish", "release", "earliest", "before", "after"}
DATES = {"promised", "wanted", "proposed"}
SPANS = {"unavailable", "segments"}
NAMES = {"order", "id", "operation", "resource", "mold", "place", "person"}
IN_LISTS = {"people", "stints"}


class Copies:
    """Copies rows of the small plan to a line of the yard and a round of time."""

    def __init__(self, line: int, round: int) -> None:
        self.line, self.round, self.shift = line, round, round * TICKS

    def name(self, text: str) -> str:
        """Name something of this line, and an order of this round."""
        if text.startswith("B1"):
            order, *code = text.split("/")
            return "/".join((f"{order}.{self.line}.{self.round}", *code))
        return f"{text}.{self.line}"

    def row(self, row: Any) -> Any:
        """Copy one row."""
        changed: dict[str, Any] = {}
        kind = type(row).__name__
        for entry in fields(row):
            value = getattr(row, entry.name)
            if value is None:
                continue
            if entry.name in INSTANTS and isinstance(value, int):
                changed[entry.name] = value + self.shift
            elif entry.name in DATES:
                moved = date.fromisoformat(value) + timedelta(days=DAYS * self.round)
                changed[entry.name] = moved.isoformat()
            elif entry.name in SPANS:
                changed[entry.name] = self.spans(value)
            elif entry.name in IN_LISTS:
                changed[entry.name] = tuple(
                    self.row(one) if is_dataclass(one) else self.name(one)
                    for one in value
                )
            elif entry.name == "demands":
                changed[entry.name] = tuple((self.name(one), n) for one, n in value)
            elif self._names(kind, entry.name):
                changed[entry.name] = self.name(value)
        return replace(row, **changed)

    def _names(self, kind: str, name: str) -> bool:
        if name in {"mold_from", "mold_to", "place_from", "place_to", "station"}:
            return True
        if kind == "Wait" and name in {"before", "after"}:
            return True
        return name in NAMES

    def spans(self, spans: tuple[Span, ...]) -> tuple[Span, ...]:
        """Copy spans to the round."""
        return tuple((start + self.shift, end + self.shift) for start, end in spans)


def many_boats(lines: int, rounds: int) -> Plan:
    """Lines of their own people and resources, each building two boats a round."""
    small = small_plan()
    problem, answer = small.problem, small.answer
    start = datetime(2027, 3, 1, 7, tzinfo=UTC)
    axis = Axis(start, 15, TICKS * rounds, ZONE)
    copies = [Copies(*pair) for pair in product(range(lines), range(rounds))]
    firsts = [one for one in copies if one.round == 0]
    times = [one for one in copies if one.line == 0]

    def over(rows: tuple[Any, ...]) -> tuple[Any, ...]:
        return tuple(copy.row(row) for copy in copies for row in rows)

    def along(row: Any, *names: str) -> Any:
        spans = {name: getattr(row, name) for name in names}
        return replace(
            row,
            **{
                name: tuple(span for copy in times for span in copy.spans(value))
                for name, value in spans.items()
            },
        )

    def in_lines(
        rows: tuple[Any, ...], stretch: Callable[[Any], Any]
    ) -> tuple[Any, ...]:
        return tuple(
            stretch(replace(row, id=copy.name(row.id)))
            for copy in firsts
            for row in rows
        )

    def calendar(row: Calendar) -> Calendar:
        return along(row, "open", "breaks")  # type: ignore[no-any-return]

    def person(row: Person) -> Person:
        return along(row, "available")  # type: ignore[no-any-return]

    def resource(row: Any) -> Any:
        return along(row, "unavailable")

    large = replace(
        problem,
        axis=axis,
        calendars=tuple(map(calendar, problem.calendars)),
        people=in_lines(problem.people, person),
        molds=in_lines(problem.molds, resource),
        places=in_lines(problem.places, resource),
        stations=in_lines(problem.stations, lambda row: row),
        limits=tuple(replace(row, max=row.max * lines) for row in problem.limits),
        orders=over(problem.orders),
        parts=over(problem.parts),
        operations=over(problem.operations),
        waits=over(problem.waits),
        committed=over(problem.committed),
        published=over(problem.published),
    )
    rows = {name: over(getattr(answer, name)) for name in _ANSWER}
    values = level_values(
        large, rows["operations"], rows["occupations"], rows["orders"]
    )
    levels = tuple(
        Level(name, value, None, "feasible") for name, value in values.items()
    )
    return replace(small, problem=large, answer=Answer(**rows, levels=levels))


_ANSWER = ("operations", "occupations", "orders", "moves")


def main(lines: int, rounds: int) -> None:
    """Measure the checker."""
    document = json.loads(json.dumps(plan_to_json(many_boats(lines, rounds))))
    seconds, busy = [], []
    for _ in range(5):
        begin, used = time.perf_counter(), time.process_time()
        sentences = check(document)
        seconds.append(time.perf_counter() - begin)
        busy.append(time.process_time() - used)
    problem = document["problem"]
    print(
        f"{len(problem['operations'])} operations, {len(problem['people'])} people, "
        f"{len(sentences)} violations: median of 5 {statistics.median(seconds):.2f} s, "
        f"longest {max(seconds):.2f} s, of the processor "
        f"{statistics.median(busy):.2f} s ({platform.machine()}, Python "
        f"{platform.python_version()})"
    )


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
