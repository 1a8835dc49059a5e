"""What is done and begun must be possible together."""

from __future__ import annotations

import pytest

from tests.models.loading.conftest import TinyYard

IN_HAND = "in_hand.csv"
HEADER = "order,operation,state,started,finished,remaining_hours,mold,place,people\n"
PREP = "B-1,hull.prep,done,2027-02-25T06:00,2027-02-25T08:00,,H16-1,,LM-01\n"
COAT = "B-1,hull.gel_coat,done,2027-02-26T06:00,2027-02-26T07:30,,,,LM-01;LM-02\n"
LAY = "B-1,hull.laminate,started,2027-02-26T12:30,,4.5,,,LM-01;LM-02\n"
LAID = "B-1,hull.laminate,done,2027-02-22T12:30,2027-02-22T14:30,,,,\n"
LIFT = "B-1,hull.demold,started,2027-02-26T06:00,,2,,Bay 1,\n"
LIFTED = "B-1,hull.demold,done,2027-02-26T06:00,2027-02-26T09:00,,,Bay 1,\n"


def early(row: str) -> str:
    """Move a row of the end of the week to its beginning."""
    return row.replace("02-25", "02-19").replace("02-26", "02-22")


@pytest.mark.parametrize(
    ("rows", "where", "found"),
    [
        (PREP.replace("08:00,", "05:00,"), "row 2, finished", "2027-02-25 05:00"),
        (PREP.replace("2027-02-25T08:00", ""), "row 2, finished", "nothing"),
        (PREP.replace("-25T08", "-25T08").replace(",,H", ",3,H"), "row 2, rem", "3"),
        (
            PREP.replace("2027-02-25T08:00", "2027-03-01T06:15"),
            "row 2, finished",
            "2027-03-01 06:15",
        ),
        (PREP + COAT + LAY.replace("4.5", "0"), "row 4, remaining_hours", "0"),
        (
            PREP + COAT + LAY.replace(",,4.5", ",2027-02-26T13:00,4.5"),
            "row 4, finished",
            "2027-02-26 13:00",
        ),
        (PREP + PREP, "row 3, operation", "'B-1' 'hull.prep' again"),
        (PREP.replace("LM-01", "RG-01"), "row 2, people", "'RG-01', who has not"),
        (PREP.replace("H16-1", "H16-7"), "row 2, mold", "'H16-7'"),
        (COAT, "row 2, operation", "'hull.gel_coat' done before 'hull.prep' is done"),
        (
            PREP + LAY,
            "row 3, operation",
            "'hull.laminate' started before 'hull.gel_coat' is done",
        ),
        (
            PREP + COAT.replace("02-26", "02-25") + LAY.replace("-26T12", "-25T10"),
            None,
            None,
        ),
        (
            early(PREP) + early(COAT) + LAY.replace("T12:30", "T07:31"),
            "row 4, started",
            "96.0167 h after 'hull.gel_coat'",
        ),
        (early(PREP) + early(COAT) + LAY.replace("T12:30", "T07:30"), None, None),
        (
            early(PREP) + early(COAT) + LAID + LIFT.replace("-26T06", "-24T14"),
            "row 5, started",
            "47.5 h after 'hull.laminate'",
        ),
        (early(PREP) + early(COAT) + LAID + LIFT, None, None),
    ],
)
def test_facts(tiny: TinyYard, rows: str, where: str | None, found: str | None) -> None:
    """A fact that cannot be, by itself or with the others, is a fault of its row."""
    tiny.write(IN_HAND, HEADER + rows)
    (tiny.folder / "locks.csv").unlink()
    if where is None:
        assert tiny.faults() == ()
        return
    fault = tiny.fault()
    assert fault.file == IN_HAND
    assert where in fault.where
    assert fault.found == found


def test_done_work_may_have_broken_a_wait(tiny: TinyYard) -> None:
    """What is done and over is not measured against its waits any more."""
    (tiny.folder / "locks.csv").unlink()
    lifted = LIFTED.replace("02-26", "02-23")
    tiny.write(IN_HAND, HEADER + early(PREP) + early(COAT) + LAID + lifted)
    assert tiny.faults() == ()


def test_waits_are_measured_over_a_change_of_the_clocks(tiny: TinyYard) -> None:
    """48 hours over the night in which clocks go forward are 48 true hours."""
    (tiny.folder / "locks.csv").unlink()
    tiny.replace("yard.toml", "as_of = 2027-03-01", "as_of = 2027-03-16")
    tiny.replace("orders.csv", "2027-02-15", "2027-03-01")
    rows = (early(PREP) + early(COAT) + LAID).replace("2027-02-22", "2027-03-12")
    lift = LIFT.replace("2027-02-26T06:00", "2027-03-14T15:29")
    tiny.write(IN_HAND, HEADER + rows + lift)
    assert tiny.fault().found == "47.9833 h after 'hull.laminate'"
    tiny.write(IN_HAND, HEADER + rows + lift.replace("15:29", "15:30"))
    assert tiny.faults() == ()


def second_mold(tiny: TinyYard) -> None:
    """Give the yard another mold and another bay, so that both must be named."""
    tiny.replace(
        "yard.toml",
        "molds = [\n",
        'molds = [\n  { id = "H16-2", part = "hull", models = ["skiff-16"] },\n',
    )
    tiny.replace(
        "yard.toml", "places = [\n", 'places = [\n  { id = "Bay 2", kind = "bay" },\n'
    )


def test_the_only_mold_need_not_be_named(tiny: TinyYard) -> None:
    """Where one mold fits, a boat in work is in it; where two fit, one is named."""
    tiny.replace(IN_HAND, "H16-1", "")
    assert tiny.faults() == ()
    second_mold(tiny)
    fault = tiny.fault()
    assert (fault.where, fault.found) == ("row 2, mold", "nothing")
    assert fault.expected == "the mold that its hull is in"


def test_any_row_may_name_the_mold(tiny: TinyYard) -> None:
    """The mold may stand on any row of the part's, but it is one mold."""
    second_mold(tiny)
    tiny.replace(IN_HAND, "H16-1", "")
    tiny.replace(IN_HAND, "4.5,,", "4.5,H16-2,")
    assert tiny.faults() == ()
    tiny.replace(IN_HAND, "08:00,,,", "08:00,,H16-1,")
    assert tiny.fault().found == "'H16-1' and 'H16-2' for one hull"


def test_place_held_twice(tiny: TinyYard) -> None:
    """A bay holds no more boats than it has room for."""
    (tiny.folder / "locks.csv").unlink()
    tiny.replace("orders.csv", ",sweep,", ",,")
    rows = early(PREP) + early(COAT) + LAID + LIFTED
    tiny.write(IN_HAND, HEADER + rows + rows.replace("B-1", "B-2"))
    fault = tiny.fault()
    assert (fault.where, fault.found) == ("row 9, place", "'Bay 1', which B-1 holds")
    tiny.replace("yard.toml", 'kind = "bay"', 'kind = "bay", capacity = 2')
    assert tiny.faults() == ()


def test_a_mold_that_was_left_is_free(tiny: TinyYard) -> None:
    """A boat that has left its mold holds it no longer."""
    tiny.replace("orders.csv", ",sweep,", ",,")
    rows = early(PREP) + early(COAT) + LAID + LIFTED
    tiny.write(IN_HAND, HEADER + rows + PREP.replace("B-1", "B-2"))
    (tiny.folder / "locks.csv").unlink()
    assert tiny.faults() == ()


def test_place_of_another_kind(tiny: TinyYard) -> None:
    """A boat stands in a place of the kind that its part needs."""
    tiny.replace(
        "yard.toml", "places = [\n", 'places = [\n  { id = "Rack", kind = "rack" },\n'
    )
    tiny.replace(IN_HAND, "4.5,,,", "4.5,,Rack,")
    fault = tiny.fault()
    assert (fault.where, fault.found) == ("row 4, place", "'Rack'")


def test_a_row_with_a_fault_blames_no_other(tiny: TinyYard) -> None:
    """Where one row cannot be read, the others are not called inconsistent."""
    tiny.replace(IN_HAND, "2027-02-25T06:00", "2027-02-31T06:00")
    assert tiny.fault().where == "row 2, started"
