"""Types of single values, for TOML keys and CSV cells alike.

A validator's message completes "expected ...". Nothing is stripped silently but the
white space around a CSV cell: `<` and `>` in a name are a fault.
"""

from __future__ import annotations

import re
from datetime import date, datetime, time
from typing import Annotated, Literal

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field

_CODE = re.compile(r"\w(?:[\w .#+&'-]*[\w.#+'-])?")
_ISO_DATE = re.compile(r"([0-9]{4})-([0-9]{2})-([0-9]{2})")
_ISO_MINUTE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}[T ][0-9]{2}:[0-9]{2}(:00)?")
_MINUTE = re.compile(r"[0-9]{2}:[0-9]{2}(:00)?")
_DECIMAL = re.compile(r"[+-]?[0-9]+(\.[0-9]+)?")
_DECIMAL_COMMA = re.compile(r"[+-]?[0-9][0-9.\s]*,[0-9]+")
_WHOLE = re.compile(r"[+-]?[0-9]+")
_YEARS = range(2000, 2101)


class Row(BaseModel):
    """Base of every schema: unknown keys are faults, nothing is converted."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True)


class Wrong(ValueError):
    """An entry whose values do not go together: what was found, what was expected."""

    def __init__(self, found: str, expected: str) -> None:
        super().__init__(expected)
        self.found = found


def _code(value: str) -> str:
    if len(value) > 60 or not _CODE.fullmatch(value):
        raise ValueError(
            "a code of letters, digits, spaces and . _ - # + & ' (at most 60)"
        )
    return value


def _label(value: str) -> str:
    if "<" in value or ">" in value:
        raise ValueError("a text without < and >")
    if len(value) > 300:
        raise ValueError("a text of at most 300 characters")
    if not value.isprintable():
        raise ValueError("a text without line breaks and control characters")
    return value


def _name(value: str) -> str:
    if not value.strip():
        raise ValueError("a name")
    return _label(value)


def _date(value: object) -> date:
    if isinstance(value, str):
        match = _ISO_DATE.fullmatch(value)
        if match is None:
            raise ValueError("a date as year-month-day, such as 2027-03-09")
        try:
            value = date(*map(int, match.groups()))
        except ValueError:
            raise ValueError("a date that exists, as year-month-day") from None
    if not isinstance(value, date) or isinstance(value, datetime):
        raise ValueError("a date as year-month-day, such as 2027-03-09")
    return _plausible(value)


def _plausible(value: date) -> date:
    if value.year not in _YEARS:
        raise ValueError(f"a year from {_YEARS.start} to {_YEARS.stop - 1}")
    return value


def _minute(value: object) -> datetime:
    wanted = "a local date and time to the minute, such as 2027-03-09T06:30"
    if isinstance(value, str):
        if not _ISO_MINUTE.fullmatch(value):
            raise ValueError(wanted)
        try:
            value = datetime.fromisoformat(value)
        except ValueError:
            raise ValueError(wanted + ", that exists") from None
    if not isinstance(value, datetime) or value.tzinfo is not None:
        raise ValueError(wanted + ", without an offset")
    if value.second or value.microsecond:
        raise ValueError(wanted)
    _plausible(value.date())
    return value


def _time(value: object) -> time:
    wanted = "a time of day, such as 06:30"
    if isinstance(value, str):
        if not _MINUTE.fullmatch(value):
            raise ValueError(wanted)
        try:
            value = time.fromisoformat(value)
        except ValueError:
            raise ValueError(wanted + ", that exists") from None
    if not isinstance(value, time) or value.tzinfo or value.second:
        raise ValueError(wanted)
    return value


def _blank(value: object) -> object:
    return None if value == "" else value


def _several(value: object) -> object:
    """Split a cell at semicolons."""
    if not isinstance(value, str):
        return value
    return [part.strip() for part in value.split(";")] if value else []


def _whole(value: object) -> object:
    if isinstance(value, str):
        if not _WHOLE.fullmatch(value) or len(value) > 12:
            raise ValueError("a whole number")
        return int(value)
    return value


def _decimal(value: object) -> object:
    if isinstance(value, str):
        if _DECIMAL_COMMA.fullmatch(value):
            raise ValueError("a number with a decimal point, such as 12.5")
        if not _DECIMAL.fullmatch(value) or len(value) > 20:
            raise ValueError("a number, such as 12.5")
        return float(value)
    return value


Code = Annotated[str, AfterValidator(_code)]
Label = Annotated[str, AfterValidator(_label)]
Name = Annotated[str, AfterValidator(_name)]
LocalDate = Annotated[date, BeforeValidator(_date)]
LocalMinute = Annotated[datetime, BeforeValidator(_minute)]
LocalTime = Annotated[time, BeforeValidator(_time)]

Hours = Annotated[float, Field(ge=0, le=2000, allow_inf_nan=False)]
Rate = Annotated[float, Field(gt=0, le=500, allow_inf_nan=False)]
RateOrNone = Annotated[float, Field(ge=0, le=500, allow_inf_nan=False)]
Positive = Annotated[float, Field(gt=0, le=10_000, allow_inf_nan=False)]
Share = Annotated[float, Field(ge=0, le=1, allow_inf_nan=False)]
CrewSize = Annotated[int, Field(ge=1, le=50)]
LeadCount = Annotated[int, Field(ge=0, le=50)]
Amount = Annotated[int, Field(ge=1, le=100)]
Celsius = Annotated[float, Field(ge=-40, le=120, allow_inf_nan=False)]
Percent = Annotated[float, Field(ge=0, le=100, allow_inf_nan=False)]

CellDate = Annotated[LocalDate | None, BeforeValidator(_blank)]
CellMinute = Annotated[LocalMinute | None, BeforeValidator(_blank)]
CellCode = Annotated[Code | None, BeforeValidator(_blank)]
CellCodes = Annotated[list[Code], BeforeValidator(_several)]
CellWhole = Annotated[int, BeforeValidator(_whole)]
CellHours = Annotated[Hours | None, BeforeValidator(_decimal), BeforeValidator(_blank)]
CellCelsius = Annotated[
    Celsius | None, BeforeValidator(_decimal), BeforeValidator(_blank)
]
CellPercent = Annotated[
    Percent | None, BeforeValidator(_decimal), BeforeValidator(_blank)
]
CellLabor = Annotated[Hours, Field(gt=0), BeforeValidator(_decimal)]
CellCrew = Annotated[CrewSize, BeforeValidator(_whole)]
CellLeads = Annotated[
    LeadCount | None, BeforeValidator(_whole), BeforeValidator(_blank)
]
CellWeight = Annotated[
    Annotated[int, Field(ge=1, le=9)] | None,
    BeforeValidator(_whole),
    BeforeValidator(_blank),
]
CellYes = Annotated[Literal["yes"] | None, BeforeValidator(_blank)]
