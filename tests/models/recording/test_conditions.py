"""What a data sheet allows where gel coat and laminate are worked."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st

from models.materials import Film, Material, MaterialUse
from models.orders import Book
from models.recording.conditions import sheets_of, warnings_of
from models.recording.entries import FloorEntry
from tests.models.recording.conftest import little_book, said

STEP = ("B-2", "hull.gel_coat")
SHEET = "the data sheet of White gel coat"
GOOD = {
    "air_celsius": 21.0, "mold_celsius": 20.0, "humidity_percent": 55.0, "batch": "G-1",
}  # fmt: skip


@cache
def sheet_book() -> Book:
    """The little yard with a gel coat whose data sheet states ranges."""
    book = little_book()
    gel = Material(
        "gel", "White gel coat", "gel coat", "kg", None, (16, 27), (15, 28), (40, 80)
    )
    model = book.models["skiff-16"]
    use = MaterialUse(STEP[1], "gel", Film(20, 1.2), "hull_area_m2")
    return replace(
        book,
        yard=replace(book.yard, materials=(gel, Material("wax", "Wax", "other", "kg"))),
        models={model.id: replace(model, uses=(use,))},
    )


def told(new: FloorEntry, *before: FloorEntry) -> list[str]:
    """Warnings about an entry."""
    return list(warnings_of(sheets_of(sheet_book(), new.order), [*before, new], new))


def test_inside_the_ranges() -> None:
    """Nothing is said, at the start or at the end."""
    start = said(*STEP, "start", "8 06:00", **GOOD)
    assert told(start) == []
    assert told(said(*STEP, "finish", "8 07:30"), start) == []


@pytest.mark.parametrize(
    ("column", "value", "words"),
    [
        ("air_celsius", 12.0, "air temperature 12 °C is outside 16 to 27 °C of "
         f"{SHEET}"),
        ("mold_celsius", 28.5, "mold temperature 28.5 °C is outside 15 to 28 °C of "
         f"{SHEET}"),
        ("humidity_percent", 81.0, f"humidity 81 % is outside 40 to 80 % of {SHEET}"),
        ("air_celsius", None, f"no air temperature: {SHEET} asks for 16 to 27 °C"),
        ("batch", "", "no batch of White gel coat"),
    ],
)  # fmt: skip
def test_outside_or_missing(column: str, value: float | str, words: str) -> None:
    """Each is one warning, at a start and at a finish that says it first."""
    given_values = GOOD | {column: value}
    assert told(said(*STEP, "start", "8 06:00", **given_values)) == [words]
    assert told(said(*STEP, "finish", "8 07:30", **given_values)) == [words]


def test_a_new_start_asks_again() -> None:
    """After a pause the air may be another."""
    start = said(*STEP, "start", "8 06:00", **GOOD)
    again = said(*STEP, "start", "8 10:00")
    assert len(told(again, start)) == 4


def test_only_where_the_material_is_used() -> None:
    """Other steps, other kinds of entry and unknown orders are left alone."""
    assert told(said("B-2", "hull.prep", "start", "8 06:00")) == []
    assert told(said(*STEP, "pause", "8 06:00")) == []
    assert told(said("B-9", STEP[1], "start", "8 06:00")) == []
    assert len(told(said(*STEP, "hours", "8 06:00", air_celsius=3.0, hours=1.0))) == 1


@given(st.floats(-40, 120))
def test_both_ends_are_inside(celsius: float) -> None:
    """A value is warned of exactly where it lies outside."""
    start = said(*STEP, "start", "8 06:00", **(GOOD | {"air_celsius": celsius}))
    assert (told(start) == []) == (16 <= celsius <= 27)
