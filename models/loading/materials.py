"""Reading `materials` of `yard.toml` and `uses` of `boats/MODEL.toml`."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, Field

from models.loading.fields import (
    Celsius,
    Code,
    Name,
    Percent,
    Positive,
    Row,
    Wrong,
)
from models.materials import (
    Film,
    Glass,
    Material,
    MaterialUse,
    PerUnit,
    ResinForGlass,
    Rule,
    Spacing,
)

_Waste = Annotated[float, Field(ge=0, le=1, allow_inf_nan=False)]
Lost = Annotated[float, Field(ge=0, le=0.9, allow_inf_nan=False)]
_Fraction = Annotated[float, Field(gt=0, lt=1, allow_inf_nan=False)]
_MassShare = Annotated[float, Field(gt=0, le=1, allow_inf_nan=False)]
Mil = Annotated[float, Field(gt=0, le=200, allow_inf_nan=False)]
Density = Annotated[float, Field(gt=0, le=5, allow_inf_nan=False)]
_Plies = Annotated[float, Field(gt=0, le=100, allow_inf_nan=False)]
_Grams = Annotated[float, Field(gt=0, le=10_000, allow_inf_nan=False)]


def _range(ends: list[float]) -> list[float]:
    if len(ends) != 2 or ends[0] > ends[1]:
        raise ValueError("the lowest and the highest, such as [18, 30]")
    return ends


_CelsiusRange = Annotated[list[Celsius], AfterValidator(_range)]
_PercentRange = Annotated[list[Percent], AfterValidator(_range)]

PER_UNIT = {
    "kg_per_unit": "kg",
    "l_per_unit": "l",
    "m2_per_unit": "m2",
    "m_per_unit": "m",
    "count_per_unit": "each",
}
# What each rule takes: fields that it needs, and fields that it may have.
_FIELDS: dict[str, tuple[set[str], set[str]]] = {
    "film": ({"film_mil", "density_kg_per_l"}, {"lost_share_of_sprayed", "mass_share"}),
    "glass": ({"plies", "ply_grams_per_m2"}, {"waste_share"}),
    "resin": (
        {"plies", "ply_grams_per_m2", "glass_mass_fraction"},
        {"waste_share", "mass_share"},
    ),
    "spacing": ({"spacing_inches"}, {"waste_share"}),
    "unit": (set(), {"waste_share", *PER_UNIT}),
}


class MaterialRow(Row):
    id: Code
    name: Name
    kind: Literal[
        "gel coat",
        "resin",
        "catalyst",
        "glass",
        "core",
        "adhesive",
        "fasteners",
        "vinyl",
        "foam",
        "engine",
        "other",
    ]
    unit: Literal["kg", "l", "m2", "m", "each"]
    lead_days: Annotated[int, Field(ge=0, le=1000)] | None = None
    air_celsius: _CelsiusRange | None = None
    mold_celsius: _CelsiusRange | None = None
    humidity_percent: _PercentRange | None = None


class UseRow(Row):
    operation: Code
    material: Code
    by: Literal["film", "glass", "resin", "spacing", "unit"]
    quantity: Code | None = None
    when: Code | None = None
    unless: Code | None = None
    film_mil: Mil | None = None
    density_kg_per_l: Density | None = None
    lost_share_of_sprayed: Lost | None = None
    mass_share: _MassShare | None = None
    plies: _Plies | None = None
    ply_grams_per_m2: _Grams | None = None
    glass_mass_fraction: _Fraction | None = None
    spacing_inches: Positive | None = None
    kg_per_unit: Positive | None = None
    l_per_unit: Positive | None = None
    m2_per_unit: Positive | None = None
    m_per_unit: Positive | None = None
    count_per_unit: Positive | None = None
    waste_share: _Waste | None = None


_RULE_FIELDS = {name for pair in _FIELDS.values() for names in pair for name in names}


def _use(row: UseRow) -> UseRow:
    given = {name for name in _RULE_FIELDS if getattr(row, name) is not None}
    needed, allowed = _FIELDS[row.by]
    stray = sorted(given - needed - allowed)
    if stray:
        fields = ", ".join(sorted(needed | allowed))
        raise Wrong(f"{stray[0]} with by = '{row.by}'", f"only {fields}")
    missing = sorted(needed - given)
    if missing:
        raise Wrong(f"by = '{row.by}' without {missing[0]}", ", ".join(sorted(needed)))
    if row.by == "unit" and len(given & PER_UNIT.keys()) != 1:
        found = ", ".join(sorted(given & PER_UNIT.keys())) or "none of them"
        raise Wrong(found, f"one of {', '.join(PER_UNIT)}")
    if row.by != "unit" and row.quantity is None:
        raise Wrong(f"by = '{row.by}' without a quantity", "a quantity of this model")
    if row.when is not None and row.when == row.unless:
        wanted = "two different options in when and unless"
        raise Wrong(f"'{row.when}' in both", wanted)
    return row


CheckedUse = Annotated[UseRow, AfterValidator(_use)]


def to_material(row: MaterialRow) -> Material:
    """Turn a good row into a material."""
    ranges = {
        name: None if ends is None else (ends[0], ends[1])
        for name, ends in (
            ("air_celsius", row.air_celsius),
            ("mold_celsius", row.mold_celsius),
            ("humidity_percent", row.humidity_percent),
        )
    }
    return Material(**(row.model_dump() | ranges))


def to_use(row: UseRow) -> MaterialUse:
    """Turn a good row into a use."""
    return MaterialUse(
        row.operation, row.material, _rule(row), row.quantity, row.when, row.unless
    )


def _rule(row: UseRow) -> Rule:
    given = {
        name: getattr(row, name)
        for name in _RULE_FIELDS
        if getattr(row, name) is not None
    }
    if row.by == "film":
        return Film(**given)
    if row.by == "glass":
        return Glass(**given)
    if row.by == "resin":
        return ResinForGlass(**given)
    if row.by == "spacing":
        return Spacing(**given)
    (field,) = given.keys() & PER_UNIT.keys()
    return PerUnit(given[field], PER_UNIT[field], given.get("waste_share", 0.0))
