"""Materials arithmetic behind the quantities: films, gel coat, glass and resin.

An aid for deriving hours and orders of material. The material's data sheet wins over
every figure here.
"""

from __future__ import annotations

import math

MICROMETERS_PER_MIL = 25.4
MILLIMETERS_PER_INCH = 25.4
LITERS_PER_GALLON = 3.785411784  # US gallon
SQUARE_METERS_PER_SQUARE_FOOT = 0.09290304
CUBIC_INCHES_PER_GALLON = 231
SQUARE_INCHES_PER_SQUARE_FOOT = 144
GRAMS_PER_OUNCE = 28.349523125
SQUARE_METERS_PER_SQUARE_YARD = 0.83612736

GLASS_GRAMS_PER_CUBIC_CENTIMETER = 2.56
RESIN_GRAMS_PER_CUBIC_CENTIMETER = 1.2

MOST_MIL_A_PASS = 24.0  # wet film; runs and sags beyond


def micrometers(mil: float) -> float:
    """Film thickness in micrometers."""
    return mil * MICROMETERS_PER_MIL


def coverage_square_feet_per_gallon(mil: float) -> float:
    """Area that one US gallon covers at a wet film thickness, without loss."""
    square_inches = CUBIC_INCHES_PER_GALLON / (mil / 1000)
    return square_inches / SQUARE_INCHES_PER_SQUARE_FOOT


def coverage_square_meters_per_liter(mil: float) -> float:
    """Area that one liter covers at a wet film thickness, without loss."""
    return 1000 / micrometers(mil)


def gel_coat_on_mold_kg(
    area_m2: float, film_mm: float, density_kg_per_l: float
) -> float:
    """Mass of wet film on the mold."""
    return area_m2 * film_mm * density_kg_per_l


def gel_coat_sprayed_kg(on_mold_kg: float, lost_share_of_sprayed: float) -> float:
    """Mass to spray where a share of what is sprayed misses the mold."""
    return on_mold_kg / (1 - lost_share_of_sprayed)


def passes(film_mil: float, most_mil_a_pass: float = MOST_MIL_A_PASS) -> int:
    """Passes in which a film is built up without running."""
    return math.ceil(film_mil / most_mil_a_pass)


def laminate_kg(glass_kg: float, glass_mass_fraction: float) -> float:
    """Mass of laminate that holds this much glass."""
    return glass_kg / glass_mass_fraction


def resin_kg(glass_kg: float, glass_mass_fraction: float) -> float:
    """Mass of resin for this much glass."""
    return laminate_kg(glass_kg, glass_mass_fraction) - glass_kg


def glass_kg(
    area_m2: float, plies: float, ply_grams_per_m2: float, waste_share: float = 0.0
) -> float:
    """Mass of glass for an area; waste is a share of what ends up in the boat."""
    return area_m2 * plies * ply_grams_per_m2 / 1000 * (1 + waste_share)


def ply_thickness_mm(ply_grams_per_m2: float, glass_mass_fraction: float) -> float:
    """Thickness of one consolidated ply: its glass plus its resin."""
    glass = ply_grams_per_m2 / (1000 * GLASS_GRAMS_PER_CUBIC_CENTIMETER)
    resin_grams = ply_grams_per_m2 * (1 - glass_mass_fraction) / glass_mass_fraction
    return glass + resin_grams / (1000 * RESIN_GRAMS_PER_CUBIC_CENTIMETER)


def mat_grams_per_m2(ounces_per_square_foot: float) -> float:
    """Weight of chopped-strand mat, which the trade states per square foot."""
    return ounces_per_square_foot * GRAMS_PER_OUNCE / SQUARE_METERS_PER_SQUARE_FOOT


def woven_grams_per_m2(ounces_per_square_yard: float) -> float:
    """Weight of woven or knit glass, which the trade states per square yard."""
    return ounces_per_square_yard * GRAMS_PER_OUNCE / SQUARE_METERS_PER_SQUARE_YARD


def fasteners(length_m: float, spacing_inches: float) -> float:
    """Number of fasteners along a length, for an estimate (not rounded)."""
    return length_m * 1000 / (spacing_inches * MILLIMETERS_PER_INCH)
