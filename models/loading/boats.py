"""Reading `boats/MODEL.toml`: the shape of each table, what one entry must satisfy."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, Field

from models.boat import (
    AddedWork,
    BoatModel,
    BoatOption,
    Graphic,
    GraphicColor,
    Part,
    RoutingOperation,
    WorkLine,
)
from models.hours import UNITS, unit_of
from models.learning import Learning
from models.loading.fields import (
    Amount,
    Code,
    CrewSize,
    Hours,
    LeadCount,
    Name,
    Positive,
    Rate,
    RateOrNone,
    Row,
    Wrong,
)
from models.loading.materials import CheckedUse, Density, Lost, Mil, to_use
from models.loading.waits import CheckedWait, to_wait
from models.materials import Film

_MOST_OF_UNIT = {"m²": 1000.0, "m": 5000.0, "kg": 50_000.0, "plies": 60.0}
_MOST = 10_000.0
_CAUTIONS = Literal[
    "lay_up",
    "gel_coat",
    "catalyst",
    "exotherm",
    "grinding",
    "lifting",
    "confined_space",
    "fuel",
]


def _crew(sizes: list[int]) -> list[int]:
    if len(sizes) != 2 or sizes[0] > sizes[1]:
        raise ValueError("a smallest and a largest crew, such as [2, 3]")
    return sizes


_Crew = Annotated[list[CrewSize], AfterValidator(_crew)]


class WorkRow(Row):
    text: Name
    basis: Literal["area", "length", "count", "plies x area", "colors", "fixed"]
    quantity: Code | None = None
    hours_per_unit: Rate
    factor: Positive = 1.0


class AddedRow(WorkRow):
    operation: Code


class DemandRow(Row):
    station: Code
    amount: Amount = 1


class OperationRow(Row):
    code: Code
    name: Name
    parts: Annotated[list[Code], Field(min_length=1)]
    station: Code
    skill: Code | None = None
    crew: _Crew | None = None
    leads_min: LeadCount = 0
    work: list[WorkRow] = Field(default_factory=list)
    duration_hours: Hours | None = None
    lead_days: Annotated[int, Field(ge=1, le=250)] | None = None
    slots: Code | None = None
    allowance: Code | None = None
    one_go: bool = False
    exclusive_part: bool = False
    demands: list[DemandRow] = Field(default_factory=list)
    calendar: Code | None = None
    when: Code | None = None
    unless: Code | None = None
    setup_family: Code | None = None
    caution: _CAUTIONS | None = None
    gate: Name | None = None


def _refuse_more_leads(leads_min: int, crew: list[int]) -> None:
    """Refuse a step of which more must lead than may be on it."""
    if leads_min > crew[0]:
        found = f"leads_min {leads_min} with a crew from {crew[0]}"
        raise Wrong(found, f"at most {crew[0]}, the smallest crew")


def _operation(row: OperationRow) -> OperationRow:
    wanted = "either skill, crew and work, or duration_hours, or lead_days"
    if row.lead_days is not None and (row.one_go or row.duration_hours is not None):
        found = "one_go" if row.one_go else "duration_hours"
        raise Wrong(f"lead_days with {found}", "lead_days alone for outside work")
    if row.skill is None:
        if row.crew is not None or row.work:
            raise Wrong("crew or work without a skill", wanted)
        if row.leads_min:
            raise Wrong("leads_min without a skill", wanted)
        if row.duration_hours is None and row.lead_days is None:
            raise Wrong("neither skill nor duration_hours nor lead_days", wanted)
        return row
    if row.crew is None or not row.work:
        raise Wrong("a skill without crew or work", wanted)
    _refuse_more_leads(row.leads_min, row.crew)
    if row.duration_hours is not None or row.lead_days is not None:
        found = "duration_hours" if row.lead_days is None else "lead_days"
        raise Wrong(f"a skill with {found}", wanted)
    if row.when is not None and row.when == row.unless:
        wanted = "two different options in when and unless"
        raise Wrong(f"'{row.when}' in both", wanted)
    return row


class PartRow(Row):
    id: Code
    name: Name
    mold_from: Code | None = None
    mold_to: Code | None = None
    place_kind: Code | None = None
    place_from: Code | None = None
    place_to: Code | None = None
    place_to_of: Literal["start", "end"] = "end"


def _part(row: PartRow) -> PartRow:
    if (row.mold_from is None) != (row.mold_to is None):
        given = "mold_from" if row.mold_from else "mold_to"
        raise Wrong(f"{given} alone", "mold_from and mold_to together")
    place = [row.place_kind, row.place_from, row.place_to]
    if any(place) and not all(place):
        wanted = "place_kind, place_from and place_to together"
        raise Wrong(f"{sum(map(bool, place))} of them", wanted)
    return row


class OptionRow(Row):
    id: Code
    name: Name
    excludes: list[Code] = Field(default_factory=list)
    requires: list[Code] = Field(default_factory=list)
    adds: list[AddedRow] = Field(default_factory=list)


def _option(row: OptionRow) -> OptionRow:
    both = {*row.excludes} & {*row.requires}
    if both or row.id in row.excludes or row.id in row.requires:
        found = ", ".join(sorted(both)) or f"'{row.id}' itself"
        raise Wrong(found, "other options in excludes and requires, none in both")
    return row


class ColorRow(Row):
    name: Name
    area_m2: Annotated[float, Field(gt=0, le=200, allow_inf_nan=False)]
    mask_length_m: Annotated[float, Field(gt=0, le=1000, allow_inf_nan=False)]
    material: Code | None = None
    setup_family: Code | None = None


class GraphicRow(Row):
    id: Code
    name: Name
    part: Code
    after: Code
    before: Code
    station: Code
    skill: Code
    crew: _Crew
    leads_min: LeadCount = 0
    mask_hours_per_m: Rate
    spray_hours_per_m2: Rate
    spray_fixed_hours: RateOrNone = 0.0
    unmask_hours_per_m: Rate
    tack_min_hours: Hours
    tack_max_hours: Hours
    window_max_hours: Hours
    allowance: Code | None = None
    demands: list[DemandRow] = Field(default_factory=list)
    caution: _CAUTIONS | None = None
    film_mil: Mil | None = None
    density_kg_per_l: Density | None = None
    lost_share_of_sprayed: Lost = 0.0
    colors: Annotated[list[ColorRow], Field(min_length=1, max_length=12)]


def _graphic(row: GraphicRow) -> GraphicRow:
    _refuse_more_leads(row.leads_min, row.crew)
    if row.tack_max_hours < row.tack_min_hours:
        found = f"tack_max_hours {row.tack_max_hours:g}"
        raise Wrong(found, f"at least tack_min_hours, {row.tack_min_hours:g}")
    named = any(color.material is not None for color in row.colors)
    if named and (row.film_mil is None or row.density_kg_per_l is None):
        wanted = "film_mil and density_kg_per_l where a color names its material"
        raise Wrong("a color's material without its film", wanted)
    return row


def _quantity_name(name: str) -> str:
    if unit_of(name) is None:
        raise ValueError(f"a name that ends in its unit: _{', _'.join(UNITS)}")
    return name


class LearningRow(Row):
    curve: Literal["unit", "cumulative average"]
    rate: Annotated[float, Field(ge=0.6, le=1, allow_inf_nan=False)]
    built: Annotated[int, Field(ge=0, le=100_000)]
    rates_of_boat: Annotated[int, Field(ge=1, le=100_000)] = 1


_Quantity = Annotated[float, Field(allow_inf_nan=False)]
_QuantityName = Annotated[Code, AfterValidator(_quantity_name)]


class BoatFile(Row):
    id: Code
    name: Name
    length_ft: Annotated[float, Field(ge=8, le=150, allow_inf_nan=False)]
    quantities: dict[_QuantityName, _Quantity] = Field(default_factory=dict)
    parts: Annotated[
        list[Annotated[PartRow, AfterValidator(_part)]], Field(min_length=1)
    ]
    operations: Annotated[
        list[Annotated[OperationRow, AfterValidator(_operation)]], Field(min_length=1)
    ]
    waits: list[CheckedWait] = Field(default_factory=list)
    options: list[Annotated[OptionRow, AfterValidator(_option)]] = Field(
        default_factory=list
    )
    graphics: list[Annotated[GraphicRow, AfterValidator(_graphic)]] = Field(
        default_factory=list
    )
    learning: LearningRow | None = None
    uses: list[CheckedUse] = Field(default_factory=list)


def implausible(name: str, value: float) -> str | None:
    """Say what was expected where a quantity cannot be meant, else None.

    A count may be 0: a model may have none of something that options bring.
    """
    unit = unit_of(name) or ""
    most = _MOST_OF_UNIT.get(unit, _MOST)
    if value < 0 or (value == 0 and unit != "each"):
        return "0 or more" if unit == "each" else "more than 0"
    return f"at most {most:g} {unit} on one boat" if value > most else None


def to_model(file: BoatFile, delivery_calendar: str) -> BoatModel:
    """Turn a read file into a model's plain data.

    A wait on the work clock that names no calendar counts on the delivery calendar.
    """
    return BoatModel(
        id=file.id,
        name=file.name,
        length_ft=file.length_ft,
        quantities=dict(file.quantities),
        parts=tuple(Part(**row.model_dump()) for row in file.parts),
        operations=tuple(_to_operation(row) for row in file.operations),
        waits=tuple(to_wait(row, delivery_calendar) for row in file.waits),
        options=tuple(
            BoatOption(
                id=row.id,
                name=row.name,
                adds=tuple(AddedWork(one.operation, _to_line(one)) for one in row.adds),
                excludes=tuple(row.excludes),
                requires=tuple(row.requires),
            )
            for row in file.options
        ),
        graphics=tuple(_to_graphic(row) for row in file.graphics),
        uses=tuple(to_use(row) for row in file.uses),
        learning=None if file.learning is None else _to_learning(file.learning),
    )


def _to_learning(row: LearningRow) -> Learning:
    return Learning(row.curve, row.rate, row.built, row.rates_of_boat)


def _to_line(row: WorkRow) -> WorkLine:
    return WorkLine(row.text, row.basis, row.hours_per_unit, row.quantity, row.factor)


def _to_demands(rows: list[DemandRow]) -> tuple[tuple[str, int], ...]:
    return tuple((row.station, row.amount) for row in rows)


def _to_operation(row: OperationRow) -> RoutingOperation:
    plain = row.model_dump(exclude={"crew", "work", "parts", "demands"})
    smallest, largest = row.crew or (0, 0)
    return RoutingOperation(
        **plain,
        parts=tuple(row.parts),
        crew_min=smallest,
        crew_max=largest,
        work=tuple(_to_line(line) for line in row.work),
        demands=_to_demands(row.demands),
    )


def _to_graphic(row: GraphicRow) -> Graphic:
    film = {"film_mil", "density_kg_per_l", "lost_share_of_sprayed"}
    plain = row.model_dump(exclude={"crew", "colors", "demands", *film})
    given = row.model_dump(include=film)
    return Graphic(
        **plain,
        film=None if None in given.values() else Film(**given),
        crew_min=row.crew[0],
        crew_max=row.crew[1],
        colors=tuple(GraphicColor(**one.model_dump()) for one in row.colors),
        demands=_to_demands(row.demands),
    )
