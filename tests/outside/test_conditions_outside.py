"""Conditions of gel coat and laminate against published ranges."""

from __future__ import annotations

from dataclasses import replace

import pytest

from models.materials import Film, Material, MaterialUse, Range
from models.orders import Book
from models.recording.conditions import sheets_of, warnings_of
from models.recording.entries import FloorEntry
from tests.models.recording.conftest import little_book, said


def fahrenheit(degrees: float) -> float:
    """Degrees Celsius."""
    return (degrees - 32) / 1.8


def book_with(step: str, ranges: dict[str, Range]) -> Book:
    """The little yard with one material of these ranges, used at one step."""
    book = little_book()
    model = book.models["skiff-16"]
    material = Material("it", "the material", "resin", "kg", **ranges)
    use = MaterialUse(step, "it", Film(20, 1.2), "hull_area_m2")
    return replace(
        book,
        yard=replace(book.yard, materials=(material,)),
        models={model.id: replace(model, uses=(use,))},
    )


def warned(book: Book, entry: FloorEntry) -> bool:
    """Whether an entry with a batch is warned of."""
    return bool(warnings_of(sheets_of(book, entry.order), [entry], entry))


@pytest.mark.parametrize(
    ("degrees", "warns"),
    [(59, True), (60, False), (75, False), (80, False), (81, True)],
)
def test_cv_185_gel_coat_between_60_and_80_f(degrees: float, *, warns: bool) -> None:
    """Mold and air are between 60 and 80 F, both included.

    CV-185: published in "Gelcoat Application - Thickness, Initiator Level, Temperature"
    (supplier guide).
    """
    window = (fahrenheit(60), fahrenheit(80))
    book = book_with("hull.gel_coat", {"air_celsius": window, "mold_celsius": window})
    for given, other in (
        ("air_celsius", "mold_celsius"),
        ("mold_celsius", "air_celsius"),
    ):
        values = {given: fahrenheit(degrees), other: fahrenheit(70), "batch": "1"}
        entry = said("B-2", "hull.gel_coat", "start", "8 06:00", **values)
        assert warned(book, entry) == warns


@pytest.mark.parametrize(
    ("air", "humidity", "warns"),
    [
        (18, 80, False),
        (17.9, 60, True),
        (22, 80.1, True),
        (22, 40, False),
        (22, 39.9, True),
    ],
)
def test_cv_187_molding_shop(air: float, humidity: float, *, warns: bool) -> None:
    """Air of at least 18 C, relative humidity of at most 80 %, 40 % where spraying.

    CV-187: published in Rules and Guidances for the Classification of FRP Ships, lay-up
    chapter, clause 102. It gives no highest temperature; 35 C here is ours.
    """
    book = book_with(
        "hull.laminate", {"air_celsius": (18, 35), "humidity_percent": (40, 80)}
    )
    values = {"air_celsius": air, "humidity_percent": humidity, "batch": "1"}
    entry = said("B-2", "hull.laminate", "start", "9 06:00", **values)
    assert warned(book, entry) == warns
