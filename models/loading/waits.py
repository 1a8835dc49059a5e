"""Reading the waits of a routing: the shape of a row, and what it must satisfy."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, Field

from models.boat import RoutingWait
from models.loading.fields import Celsius, Code, Hours, Row, Wrong

_Activation = Annotated[float, Field(gt=0, le=300, allow_inf_nan=False)]


class WaitRow(Row):
    kind: Literal["cure", "tack", "bond", "sequence", "transport"]
    before: Code
    after: Code
    before_of: Literal["start", "end"] = "end"
    after_of: Literal["start", "end"] = "start"
    min_hours: Hours | None = None
    data_sheet_min_hours: Hours | None = None
    max_hours: Hours | None = None
    clock: Literal["wall", "work"] = "wall"
    calendar: Code | None = None
    activation_kj_per_mol: _Activation | None = None
    reference_celsius: Celsius | None = None
    reprep: Code | None = None


def _wait(row: WaitRow) -> WaitRow:
    least = row.min_hours or 0.0
    if row.max_hours is not None and row.max_hours < least:
        found = f"max_hours {row.max_hours:g} with min_hours {least:g}"
        raise Wrong(found, "max_hours of at least min_hours")
    sheet = row.data_sheet_min_hours
    if sheet is not None and least < sheet:
        raise Wrong(
            f"min_hours {least:g} with data_sheet_min_hours {sheet:g}",
            f"min_hours of at least {sheet:g}: nothing shortens what the data sheet "
            "asks for",
        )
    if row.kind == "cure" and row.clock != "wall":
        wanted = "the wall clock for a cure, which goes on at night"
        raise Wrong("clock 'work'", wanted)
    if row.kind != "sequence" and row.min_hours is None and row.max_hours is None:
        wanted = f"min_hours or max_hours for a {row.kind} wait"
        raise Wrong("neither min_hours nor max_hours", wanted)
    if row.before == row.after:
        raise Wrong(f"'{row.before}' in before and after", "two different operations")
    _check_temperature(row)
    _check_reprep(row)
    return row


def _check_temperature(row: WaitRow) -> None:
    """Refuse a wait that cannot be lengthened by a cold shop, yet says how."""
    if row.activation_kj_per_mol is None and row.reference_celsius is None:
        return
    if row.activation_kj_per_mol is None or row.reference_celsius is None:
        lacking = row.activation_kj_per_mol is None
        given = "reference_celsius" if lacking else "activation_kj_per_mol"
        wanted = "activation_kj_per_mol and reference_celsius together"
        raise Wrong(f"{given} alone", wanted)
    if row.kind != "cure":
        raise Wrong(f"activation_kj_per_mol on a {row.kind}", "it on a cure only")
    if row.data_sheet_min_hours is None:
        wanted = "data_sheet_min_hours, the minimum at reference_celsius"
        raise Wrong("activation_kj_per_mol without it", wanted)
    if row.max_hours is not None:
        wanted = "no max_hours on a cure that a cold shop lengthens"
        raise Wrong(f"max_hours {row.max_hours:g}", wanted)


def _check_reprep(row: WaitRow) -> None:
    """Refuse a re-preparation that could never be needed, or would come too late."""
    if row.reprep is None:
        return
    if row.max_hours is None:
        wanted = "max_hours on a wait with a re-preparation"
        raise Wrong(f"reprep '{row.reprep}' without max_hours", wanted)
    if (row.before_of, row.after_of) != ("end", "start"):
        wanted = "a wait from an end to a start"
        raise Wrong(f"reprep '{row.reprep}' on another wait", wanted)
    if row.reprep in (row.before, row.after):
        raise Wrong(f"'{row.reprep}' also in reprep", "a step between the two")


CheckedWait = Annotated[WaitRow, AfterValidator(_wait)]


def to_wait(row: WaitRow, delivery_calendar: str) -> RoutingWait:
    """The wait of a row; the work clock counts the delivery calendar by default."""
    plain = row.model_dump(exclude={"min_hours", "calendar"})
    counted = row.calendar or delivery_calendar
    return RoutingWait(
        **plain,
        min_hours=row.min_hours or 0.0,
        calendar=counted if row.clock == "work" else None,
    )
