"""Single values: what is accepted, and what a user is told to write instead."""

from __future__ import annotations

from datetime import date, datetime, time
from typing import Any

import pytest
from pydantic import TypeAdapter, ValidationError

from models.loading.fields import (
    CellCode,
    CellCodes,
    CellDate,
    CellHours,
    CellMinute,
    CellWhole,
    Code,
    Label,
    LocalDate,
    LocalMinute,
    LocalTime,
    Name,
    Rate,
)


def read(kind: Any, value: object) -> Any:
    """Validate one value strictly, as the files are."""
    return TypeAdapter(kind).validate_python(value, strict=True)


@pytest.mark.parametrize(
    ("kind", "value", "meant"),
    [
        (Code, "Bay 1", "Bay 1"),
        (Code, "hull.gel_coat", "hull.gel_coat"),
        (Code, "Ü-12", "Ü-12"),
        (Label, "", ""),
        (Name, "O'Brien's & co", "O'Brien's & co"),
        (LocalDate, "2028-02-29", date(2028, 2, 29)),
        (LocalDate, date(2027, 3, 1), date(2027, 3, 1)),
        (LocalTime, "06:30", time(6, 30)),
        (LocalTime, time(6, 30), time(6, 30)),
        (LocalMinute, "2027-03-01T06:30", datetime(2027, 3, 1, 6, 30)),  # noqa: DTZ001
        (LocalMinute, "2027-03-01 06:30:00", datetime(2027, 3, 1, 6, 30)),  # noqa: DTZ001
        (CellDate, "", None),
        (CellMinute, "", None),
        (CellCode, "", None),
        (CellCodes, "", []),
        (CellCodes, "a; b", ["a", "b"]),
        (CellWhole, "7", 7),
        (CellHours, "", None),
        (CellHours, "12.5", 12.5),
        (Rate, 1, 1.0),
    ],
)
def test_accepted(kind: Any, value: object, meant: object) -> None:
    """What a careful person would write is read as meant."""
    assert read(kind, value) == meant


@pytest.mark.parametrize(
    ("kind", "value"),
    [
        (Code, ""),
        (Code, "a/b"),
        (Code, "a;b"),
        (Code, " a"),
        (Code, "=1+1"),
        (Code, "x" * 61),
        (Label, "a < b"),
        (Label, "a\nb"),
        (Label, "x" * 301),
        (Name, "  "),
        (LocalDate, "2027-02-30"),
        (LocalDate, "3/1/2027"),
        (LocalDate, "20270301"),
        (LocalDate, "0027-03-01"),
        (LocalDate, "٢٠٢٧-03-01"),
        (LocalDate, datetime(2027, 3, 1)),  # noqa: DTZ001
        (LocalDate, 46023),
        (LocalTime, "24:00"),
        (LocalTime, "6:30"),
        (LocalTime, "06:30:15"),
        (LocalMinute, "2027-03-01"),
        (LocalMinute, "2027-03-01T25:00"),
        (LocalMinute, "2027-03-01T06:30+01:00"),
        (LocalMinute, datetime.fromisoformat("2027-03-01T06:30+01:00")),
        (LocalMinute, datetime(2027, 3, 1, 6, 30, 5)),  # noqa: DTZ001
        (CellCodes, "a;;b"),
        (CellWhole, "1.0"),
        (CellWhole, "9" * 40),
        (CellHours, "1,5"),
        (CellHours, "1.234,5"),
        (CellHours, "nan"),
        (CellHours, "1e3"),
        (CellHours, "-1"),
        (CellHours, "2001"),
        (Rate, 0.0),
        (Rate, float("nan")),
        (Rate, float("inf")),
        (Rate, True),
        (Rate, "1"),
    ],
)
def test_refused(kind: Any, value: object) -> None:
    """What could be misread is refused, never guessed at."""
    with pytest.raises(ValidationError):
        read(kind, value)


def test_decimal_comma_is_named() -> None:
    """A decimal comma is told apart from other things that are no number."""
    with pytest.raises(ValidationError, match="decimal point"):
        read(CellHours, "1,5")
