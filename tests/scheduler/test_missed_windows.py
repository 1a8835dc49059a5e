"""Windows that what is begun leaves no way to keep: re-preparations put in ahead."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time, timedelta
from random import Random

import pytest

from models.errors import NoPlan
from models.orders import Book, InHand
from models.yard import Overtime, OvertimeLimits, Person
from scheduler.building.build import build_problem
from scheduler.checker import check
from scheduler.compare import compare
from scheduler.compiling.arrays import BY_DUE_DATES
from scheduler.compiling.compile import compile_problem
from scheduler.missed_windows import with_missed_windows
from scheduler.overtime import may_open
from scheduler.plan import Plan
from scheduler.plan_file import plan_to_json
from scheduler.planner import Request, make_plan
from scheduler.reprep_report import reprep_lines
from scheduler.searching.search import Budget
from tests.scheduler.random_facts import random_plan
from tests.scheduler.small_book import (
    AS_OF,
    begun,
    boat,
    clock,
    done,
    small_book,
    small_model,
    small_yard,
)
from tests.scheduler.test_reprep import BOND, IN_TIME, PREP, grinding_model

LAMINATORS = ("L1", "L2", "L3")
QUICK = Request(Budget(None, 20), workers=1)
Leave = tuple[tuple[date, date], ...]


def away(**leaves: Leave) -> tuple[Person, ...]:
    """The people of the small yard, some of them on leave."""
    people = small_yard().people
    return tuple(replace(one, leave=leaves.get(one.id, one.leave)) for one in people)


def all_away(first: date, last: date) -> tuple[Person, ...]:
    """The people of the small yard without one laminator for some days."""
    return away(**dict.fromkeys(LAMINATORS, ((first, last),)))


def book_of(*rows: InHand, people: tuple[Person, ...], grind: bool = True) -> Book:
    """The small book with work in hand and people away."""
    model = grinding_model() if grind else small_model()
    yard = small_yard(people=people)
    return small_book(yard=yard, models={"wren": model}, in_hand=rows)


def repreps(book: Book) -> dict[str, tuple[str, ...]]:
    """The re-preparations of each order that has some."""
    return {one.order: one.reprep for one in book.orders if one.reprep}


def sound_plan(book: Book) -> Plan:
    """A plan of the book that the checker passes, also against the data."""
    plan = make_plan(book, QUICK).plan
    assert check(plan_to_json(plan)) == []
    again = build_problem(with_missed_windows(book))
    assert compare(plan.problem, again) == []
    return plan


def test_a_window_in_which_nobody_is_there_gets_its_re_preparation() -> None:
    """It has not run out, but all who laminate are away until it has."""
    book = book_of(PREP, IN_TIME, people=all_away(AS_OF, date(2026, 12, 1)))
    assert repreps(with_missed_windows(book)) == {"B1": ("grind",)}
    plan = sound_plan(book)
    told = " ".join(reprep_lines(plan))
    assert "B1/skin cannot begin in the 24 h after B1/gel_coat" in told
    rows = {one.operation: one for one in plan.answer.operations}
    assert rows["B1/grind"].finish <= rows["B1/skin"].start


def test_a_window_that_is_still_open_stays_hard() -> None:
    """With two laminators there the skin comes in time, and nothing is put in."""
    people = away(L3=((AS_OF, date(2026, 12, 4)),))
    book = book_of(PREP, IN_TIME, people=people)
    assert with_missed_windows(book) == book
    wait = next(one for one in sound_plan(book).problem.waits if one.id == BOND)
    assert wait.kept_maximum_minutes is not None


def test_what_remains_of_a_step_may_wait() -> None:
    """The window counts from the end of the gel coat, which is still to come."""
    spraying = begun("B1", "gel_coat", "2026-11-29T13:00", 3.0)
    people = all_away(date(2026, 12, 1), date(2026, 12, 3))
    book = book_of(PREP, spraying, people=people)
    assert with_missed_windows(book) == book
    sound_plan(book)


def test_nobody_begins_what_would_be_late() -> None:
    """A gel coat that is not begun waits until its laminate can follow in time."""
    people = all_away(date(2026, 12, 1), date(2026, 12, 3))
    book = book_of(PREP, people=people)
    assert with_missed_windows(book) == book
    rows = {one.operation: one for one in sound_plan(book).answer.operations}
    day = build_problem(book).axis.ticks_per_day
    assert rows["B1/skin"].start - rows["B1/gel_coat"].finish <= day


def test_without_a_re_preparation_there_is_no_plan() -> None:
    """A routing that names none is told, as before."""
    people = all_away(AS_OF, date(2026, 12, 1))
    book = book_of(PREP, IN_TIME, people=people, grind=False)
    with pytest.raises(NoPlan):
        make_plan(book, QUICK)


def test_others_keep_their_windows() -> None:
    """Only the boat that cannot keep its window has the step."""
    second = done("B2", "prep", "2026-11-25T06:00", "2026-11-25T10:00", mold="H1")
    orders = (boat("B1"), boat("B2"))
    people = all_away(AS_OF, date(2026, 12, 1))
    book = replace(book_of(PREP, IN_TIME, second, people=people), orders=orders)
    assert repreps(with_missed_windows(book)) == {"B1": ("grind",)}
    sound_plan(book)


def keeps_by_hand(end: datetime, leaves: dict[str, Leave]) -> bool:
    """Whether two laminators can begin five hours of skin 3 to 24 h after the gel coat.

    From 06:00 to 14:30 on a working day, not before `AS_OF`, quarter by quarter. One
    of them alone would take ten hours, which no shift holds.
    """
    start = end + timedelta(hours=3)
    while start <= end + timedelta(hours=24):
        day = start.date()
        there = [
            one
            for one in LAMINATORS
            if not any(first <= day <= last for first, last in leaves.get(one, ()))
        ]
        ends = start + timedelta(hours=5)
        in_shift = start.time() >= time(6) and ends.time() <= time(14, 30)
        weekday = day.isoweekday() <= 5 and day >= AS_OF and ends.date() == day
        if weekday and in_shift and len(there) >= 2:
            return True
        start += timedelta(minutes=15)
    return False


def test_only_what_cannot_be_kept_is_given_up() -> None:
    """Against quarters of an hour tried one by one, with people away at random."""
    random, seen = Random(7), {True: 0, False: 0}
    for _ in range(30):
        end = clock("2026-11-29T06:00") + timedelta(hours=random.randint(1, 32))
        if end > clock("2026-11-30"):  # what is done was done before today
            end = clock("2026-11-29T22:00")
        gone = {}
        for one in LAMINATORS:
            first = AS_OF + timedelta(days=random.randint(-1, 2))
            last = first + timedelta(days=random.randint(0, 2))
            if random.random() < 0.6:
                gone[one] = ((first, last),)
        start = end - timedelta(hours=3)
        sprayed = done("B1", "gel_coat", f"{start:%FT%R}", f"{end:%FT%R}")
        book = book_of(PREP, sprayed, people=away(**gone))
        kept = keeps_by_hand(end, gone)
        seen[kept] += 1
        given_up = {} if kept else {"B1": ("grind",)}
        assert repreps(with_missed_windows(book)) == given_up
    assert min(seen.values()) >= 5


def test_overtime_does_not_keep_a_window_that_was_given_up() -> None:
    """The gel coat of Friday noon could have its skin on an overtime Saturday.

    With the step that stands for the window, it is missed in that plan, too, so that
    no surface is made ready for nothing.
    """
    saturday = date(2026, 12, 5)
    window = Overtime(
        "saturday", "lamination", (6,), time(6), time(14, 30), saturday, saturday, 40.0
    )
    limits = OvertimeLimits(10.0, 60.0)
    yard = small_yard(as_of=saturday, overtime=(window,), overtime_limits=limits)
    sprayed = done("B1", "gel_coat", "2026-12-04T10:00", "2026-12-04T13:00")
    models = {"wren": grinding_model()}
    problem = build_problem(
        small_book(yard=yard, models=models, in_hand=(PREP, sprayed))
    )
    windows = frozenset(one.id for one in may_open(problem))
    compilation = compile_problem(problem, BY_DUE_DATES, windows)
    plan = random_plan(compilation, Random(1))
    assert plan is not None
    grind, skin = (compilation.index_of[f"B1/{code}"] for code in ("grind", "skin"))
    assert problem.axis.local(int(plan.start[grind])).date() == saturday
    gel_coat = compilation.index_of["B1/gel_coat"]
    assert plan.start[skin] - plan.finish[gel_coat] > 24 * 60 // yard.tick_minutes
