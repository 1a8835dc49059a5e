"""Facts and locks bind a plan, and facts that cannot be are named."""

from __future__ import annotations

from dataclasses import replace

import pytest

from models.errors import DataFaults
from models.orders import InHand, Lock
from scheduler.building.build import build_problem
from scheduler.problem import Committed, Problem
from tests.scheduler.small_book import begun, boat, clock, done, small_book, small_yard

PREP = done("B1", "prep", "2026-11-25T06:00", "2026-11-25T10:00", mold="H2")
GEL = done("B1", "gel_coat", "2026-11-27T06:00", "2026-11-27T09:00")
SKIN = done("B1", "skin", "2026-11-27T12:00", "2026-11-27T14:30")


def committed(problem: Problem) -> dict[str, Committed]:
    """List commitments by operation."""
    return {one.operation: one for one in problem.committed}


def faults(**changes: object) -> list[str]:
    """Build a book that cannot be and list its faults."""
    with pytest.raises(DataFaults) as caught:
        build_problem(small_book(**changes))
    return [str(fault) for fault in caught.value.faults]


def test_what_is_done_stands_as_it_was() -> None:
    """A done operation keeps its times, people, mold and place."""
    people = ("L1", "L3")
    rows = (PREP, GEL, replace(SKIN, people=people))
    problem = build_problem(small_book(in_hand=rows))
    entry = committed(problem)["B1/skin"]
    assert problem.axis.iso(entry.start or 0) == "2026-11-27T12:00-05:00"
    assert problem.axis.iso(entry.finish or 0) == "2026-11-27T14:30-05:00"
    assert (entry.why, entry.people) == ("done", people)
    earliest = {one.id: one.earliest for one in problem.operations}
    assert earliest["B1/skin"] == entry.start
    assert earliest["B1/demold"] == problem.now


def test_what_is_started_keeps_its_start_and_its_remaining_hours() -> None:
    """A started operation has its start and what remains, from now on, by anyone."""
    row = begun("B1", "prep", "2026-11-27T13:00", 2.5, mold="H1", people=("L1",))
    problem = build_problem(small_book(in_hand=(row,)))
    entry = committed(problem)["B1/prep"]
    assert (entry.why, entry.finish, entry.people) == ("started", None, ())
    assert entry.mold == "H1"
    assert problem.axis.iso(entry.start or 0) == "2026-11-27T13:00-05:00"
    prep = next(one for one in problem.operations if one.id == "B1/prep")
    assert (prep.labor_hours, prep.remaining_hours) == (4, 2.5)
    assert prep.earliest == problem.now


def test_what_remains_without_a_crew_is_a_duration() -> None:
    """A started operation without a crew lasts for what remains of it."""
    rows = (
        PREP,
        GEL,
        SKIN,
        done("B1", "demold", "2026-11-30T06:00", "2026-11-30T07:00", place="Bay 1"),
        begun("B1", "soak", "2026-11-30T07:00", 0.5),
    )
    problem = build_problem(small_book(in_hand=rows))
    soak = next(one for one in problem.operations if one.id == "B1/soak")
    assert soak.duration_minutes == 30
    assert soak.earliest == committed(problem)["B1/soak"].start


def test_facts_off_the_tick_keep_their_order() -> None:
    """Facts are rounded up to ticks alike, so what followed does not overlap."""
    rows = (
        replace(PREP, finished=clock("2026-11-25T10:07")),
        replace(GEL, started=clock("2026-11-25T10:07")),
        SKIN,
    )
    problem = build_problem(small_book(in_hand=rows))
    entries = committed(problem)
    assert entries["B1/prep"].finish == entries["B1/gel_coat"].start
    assert problem.axis.iso(entries["B1/prep"].finish or 0)[11:16] == "10:15"


def test_rounding_of_a_fact_never_lengthens_a_window() -> None:
    """A maximum wait from a rounded fact is shorter by the rounding."""
    yard = small_yard(as_of=clock("2026-11-27").date())
    rows = (PREP, replace(GEL, finished=clock("2026-11-27T09:05")))
    problem = build_problem(small_book(yard=yard, in_hand=rows))
    bonds = {one.id: one.max_minutes for one in problem.waits if one.kind == "bond"}
    assert bonds["B1/gel_coat>skin/bond"] == 24 * 60 - 10
    assert bonds["B2/gel_coat>skin/bond"] == 24 * 60


def test_facts_older_than_the_axis_count_from_its_beginning() -> None:
    """What began more than about 400 days ago is held at the start of the axis."""
    row = begun("B1", "prep", "2024-01-08T06:00", 2, mold="H1")
    problem = build_problem(small_book(in_hand=(row,)))
    assert committed(problem)["B1/prep"].start == 0
    assert problem.axis.iso(0) == "2025-10-20T00:00-04:00"


def test_the_mold_named_on_any_step_inside_it_is_the_parts_mold() -> None:
    """A mold written beside a later step belongs to the whole stay in the mold."""
    rows = (replace(PREP, mold=None), replace(GEL, mold="H2"), SKIN)
    entries = committed(build_problem(small_book(in_hand=rows)))
    assert (entries["B1/prep"].mold, entries["B1/gel_coat"].mold) == ("H2", None)


def test_a_part_in_an_unnamed_mold_is_a_fault() -> None:
    """Where several molds fit, the plan must be told which one a part is in."""
    (line,) = faults(in_hand=(replace(PREP, mold=None),))
    assert line == (
        "in_hand.csv: order B1, prep: found no mold that fits; "
        "expected the mold that the hull is in: H1, H2"
    )


def test_the_only_place_that_fits_need_not_be_named() -> None:
    """Where one place alone takes the model, a part in its kind stands there."""
    demold = begun("B1", "demold", "2026-11-30T06:00", 1, mold="H2")
    problem = build_problem(small_book(in_hand=(PREP, GEL, SKIN, demold)))
    entry = committed(problem)["B1/demold"]
    assert (entry.mold, entry.place) == ("H2", "Bay 1")


def test_a_window_that_has_run_out_is_named() -> None:
    """A bond window that facts have broken is one clear line without `reprep`."""
    (line,) = faults(in_hand=(PREP, GEL))
    assert line == (
        "in_hand.csv: order B1, skin: found not begun, and the 24 h after gel_coat "
        "(bond) have run out; expected the step recorded, if it was begun in "
        "time, or a re-preparation ('reprep') of this wait in the routing"
    )


def test_a_window_that_ends_before_the_next_shift_has_run_out() -> None:
    """A window is lost as soon as no shift begins inside it."""
    yard = small_yard(as_of=clock("2026-11-28").date())  # a Saturday
    late = replace(GEL, finished=clock("2026-11-27T14:00"))
    (line,) = faults(yard=yard, in_hand=(PREP, late))
    assert "have run out" in line
    friday = small_yard(as_of=clock("2026-11-27").date())
    build_problem(small_book(yard=friday, in_hand=(PREP, GEL)))


def test_a_cure_that_was_cut_short_is_named() -> None:
    """Work begun before a cure's end contradicts the routing."""
    demold = begun("B1", "demold", "2026-11-28T06:00", 1, place="Bay 1")
    (line,) = faults(in_hand=(PREP, GEL, SKIN, demold))
    assert (
        "demold: found begun 15.5 h after skin (cure); expected at least 48 h" in line
    )


def test_work_before_what_it_waits_for_is_named() -> None:
    """An operation cannot be begun while the one before it is not done."""
    assert faults(in_hand=(PREP, SKIN)) == [
        "in_hand.csv: order B1, skin: found done; expected gel_coat done before it"
    ]
    prep = begun("B1", "prep", "2026-11-27T06:00", 1, mold="H1")
    (line,) = faults(in_hand=(prep, GEL, SKIN))
    assert "gel_coat: found done; expected prep done before it" in line


def test_facts_of_nothing_in_the_book_are_named() -> None:
    """A fact or lock of an order or operation that is not in the book is a fault."""
    rows = (replace(PREP, order="B9"), replace(PREP, operation="tower"))
    lines = faults(in_hand=rows, locks=(Lock("B1", "tower", None, "H1"),))
    assert [line.split(": ")[0] for line in lines] == ["in_hand.csv"] * 2 + [
        "locks.csv"
    ]
    assert "order B9, prep" in lines[0]


def test_done_without_a_finish_is_a_fault() -> None:
    """What is done has a time at which it was done."""
    row = InHand(
        "B1", "prep", "done", clock("2026-11-25T06:00"), None, None, "H1", None
    )
    (line,) = faults(in_hand=(row,))
    assert "found no time in 'finished'" in line


def test_a_lock_pins_what_it_gives() -> None:
    """A lock binds start, mold or people, and leaves open what it does not name."""
    locks = (
        Lock("B1", "prep", clock("2026-12-01T06:00"), "H2"),
        Lock("B2", "rig", None, None, ("R2",)),
    )
    problem = build_problem(small_book(locks=locks))
    entries = committed(problem)
    assert entries["B1/prep"] == Committed(
        "B1/prep", 96 + 24, None, "H2", None, (), "locked"
    )
    assert entries["B2/rig"] == Committed(
        "B2/rig", None, None, None, None, ("R2",), "locked"
    )


def test_a_lock_does_not_change_facts() -> None:
    """A lock on work that is done is void; on started work it still names people."""
    started = begun("B2", "prep", "2026-11-27T13:00", 2.5, mold="H1")
    locks = (
        Lock("B1", "prep", clock("2026-12-01T06:00"), "H1", ("L1",)),
        Lock("B2", "prep", clock("2026-12-01T06:00"), "H2", ("L1",)),
    )
    rows = (PREP, GEL, SKIN, started)
    entries = committed(build_problem(small_book(in_hand=rows, locks=locks)))
    assert (entries["B1/prep"].why, entries["B1/prep"].mold) == ("done", "H2")
    assert (entries["B2/prep"].why, entries["B2/prep"].mold) == ("started", "H1")
    assert entries["B2/prep"].people == ("L1",)


def test_a_lock_that_cannot_hold_is_named() -> None:
    """A lock before today or the release, or a mold inside a stay, is a fault."""
    orders = (boat("B1", release=clock("2026-12-07").date()),)
    locks = (
        Lock("B1", "prep", clock("2026-12-04T06:00"), None),
        Lock("B1", "skin", None, "H1"),
    )
    lines = faults(orders=orders, locks=locks)
    assert (
        "found start 2026-12-04 06:00; expected a start from 2026-12-07 00:00"
        in lines[0]
    )
    assert "skin: found mold H1; expected a mold only on" in lines[1]
