"""What a boat's operations use up: gel coat, resin, glass, core, fasteners, engines.

A use belongs to a step and follows from a quantity of the model by one of five rules;
the arithmetic is that of `models.quantities`. Amounts are an aid for ordering: the
material's data sheet wins. `by` names a rule where it is written down.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from models import quantities

Range = tuple[float, float]  # lowest and highest

MATERIAL_UNITS = {"kg": "kg", "l": "l", "m2": "m²", "m": "m", "each": "each"}


@dataclass(frozen=True, slots=True)
class Material:
    """Something that the yard buys.

    `lead_days` are calendar days from ordering it to having it. The ranges, both ends
    included, are those of its data sheet for the place where it is sprayed or laid up
    (`models.recording.conditions`).
    """

    id: str
    name: str
    kind: str
    unit: str  # key of MATERIAL_UNITS
    lead_days: int | None = None
    air_celsius: Range | None = None
    mold_celsius: Range | None = None
    humidity_percent: Range | None = None  # relative


@dataclass(frozen=True, slots=True)
class Film:
    """A sprayed film on an area; a share of what is sprayed misses the mold.

    `mass_share` is the share of the sprayed mass that is this material: 1 for the gel
    coat itself, 0.018 for its catalyst.
    """

    film_mil: float  # wet
    density_kg_per_l: float
    lost_share_of_sprayed: float = 0.0
    mass_share: float = 1.0
    by: Literal["film"] = "film"


@dataclass(frozen=True, slots=True)
class Glass:
    """Plies of glass on an area; waste is a share of what ends up in the boat."""

    plies: float
    ply_grams_per_m2: float
    waste_share: float = 0.0
    by: Literal["glass"] = "glass"


@dataclass(frozen=True, slots=True)
class ResinForGlass:
    """Resin in plies of glass on an area, at a mass fraction of glass.

    `waste_share` is a share of the resin in the boat, `mass_share` as for a film.
    """

    plies: float
    ply_grams_per_m2: float
    glass_mass_fraction: float
    waste_share: float = 0.0
    mass_share: float = 1.0
    by: Literal["resin"] = "resin"


@dataclass(frozen=True, slots=True)
class Spacing:
    """Pieces along a length, such as screws around a joint."""

    spacing_inches: float
    waste_share: float = 0.0
    by: Literal["spacing"] = "spacing"


@dataclass(frozen=True, slots=True)
class PerUnit:
    """So much for each unit of the quantity, or for each boat where there is none."""

    amount: float
    unit: str  # key of MATERIAL_UNITS
    waste_share: float = 0.0
    by: Literal["unit"] = "unit"


Rule = Film | Glass | ResinForGlass | Spacing | PerUnit


@dataclass(frozen=True, slots=True)
class MaterialUse:
    """What one step uses of one material; `when` and `unless` name options."""

    operation: str
    material: str
    rule: Rule
    quantity: str | None = None
    when: str | None = None
    unless: str | None = None


def amount_of(rule: Rule, quantity: float) -> float:
    """Amount that follows from a quantity, unrounded, in the rule's own unit.

    Kilograms of films, glass and resin, pieces along a length, the material's unit
    otherwise. Formulas and their sources stand in `models.quantities`.
    """
    if isinstance(rule, Film):
        film_mm = quantities.micrometers(rule.film_mil) / 1000
        on_mold = quantities.gel_coat_on_mold_kg(
            quantity, film_mm, rule.density_kg_per_l
        )
        lost = rule.lost_share_of_sprayed
        return quantities.gel_coat_sprayed_kg(on_mold, lost) * rule.mass_share
    if isinstance(rule, Glass):
        return quantities.glass_kg(
            quantity, rule.plies, rule.ply_grams_per_m2, rule.waste_share
        )
    if isinstance(rule, ResinForGlass):
        glass = quantities.glass_kg(quantity, rule.plies, rule.ply_grams_per_m2)
        resin = quantities.resin_kg(glass, rule.glass_mass_fraction)
        return resin * (1 + rule.waste_share) * rule.mass_share
    if isinstance(rule, Spacing):
        pieces = quantities.fasteners(quantity, rule.spacing_inches)
        return pieces * (1 + rule.waste_share)
    return quantity * rule.amount * (1 + rule.waste_share)


def unit_of(rule: Rule) -> str:
    """Unit in which a rule counts its material."""
    if isinstance(rule, PerUnit):
        return rule.unit
    return "each" if isinstance(rule, Spacing) else "kg"


def rule_text(rule: Rule) -> str:
    """Say a rule in words, for the derivation."""
    share = getattr(rule, "mass_share", 1.0)
    part = "" if share == 1 else f"{share * 100:g} % of "
    if isinstance(rule, Film):
        lost = _percent(rule.lost_share_of_sprayed, "of the sprayed lost")
        return f"{part}{rule.film_mil:g} mil at {rule.density_kg_per_l:g} kg/l{lost}"
    waste = _percent(rule.waste_share, "waste")
    if isinstance(rule, Glass):
        return f"{_plies(rule.plies)} of {rule.ply_grams_per_m2:g} g/m²{waste}"
    if isinstance(rule, ResinForGlass):
        fraction = f"{rule.glass_mass_fraction * 100:g} % glass"
        plies = f"{_plies(rule.plies)} of {rule.ply_grams_per_m2:g} g/m²"
        return f"{part}resin for {plies} at {fraction}{waste}"
    if isinstance(rule, Spacing):
        return f"one every {rule.spacing_inches:g} in{waste}"
    unit = "" if rule.unit == "each" else f" {MATERIAL_UNITS[rule.unit]}"
    return f"{rule.amount:g}{unit} a unit{waste}"


def _plies(plies: float) -> str:
    return "1 ply" if plies == 1 else f"{plies:g} plies"


def _percent(share: float, words: str) -> str:
    return f", {share * 100:g} % {words}" if share else ""
