"""Inks and washes of the sheet.

Six washes for station groups: far apart in hue for the common kinds of color vision,
and in lightness for grey paper; each is drawn with an ink outline, because the light
ones alone would not stand out from the paper. `tests/dashboard/test_palette.py` holds
the figures.
"""

from __future__ import annotations

PAPER = "#f7f2e6"
PAPER_DEEP = "#ece4d0"
INK = "#1f2a33"
INK_SOFT = "#55606a"
LINE = "#b9b09a"
HAIR = "#ddd4be"
ALARM = "#a3241b"  # late, lost
NOW = "#2f5f8f"
PICKED = "#f2c230"

WASHES = ("#20354f", "#c9862b", "#8fb8b0", "#efe0ab", "#8f7fb0", "#8c3b2a")
ON_WASH = ("#ffffff", "#000000", "#000000", "#000000", "#000000", "#ffffff")

SERIF = (
    "'Palatino Linotype', Palatino, 'Book Antiqua', 'URW Palladio L', "
    "'TeX Gyre Pagella', 'DejaVu Serif', Georgia, serif"
)


def wash(group: int) -> str:
    """Fill of a station group."""
    return WASHES[group % len(WASHES)]


def on_wash(group: int) -> str:
    """Lettering on a station group's fill."""
    return ON_WASH[group % len(ON_WASH)]


def short_codes(groups: tuple[str, ...]) -> tuple[str, ...]:
    """One or two letters a group, different from each other."""
    codes: list[str] = []
    for name in groups:
        words = [word for word in name.replace(",", " ").split() if word != "and"]
        first = words[0] if words else "?"
        second = words[1][0].upper() if len(words) > 1 else first[1:2]
        tries = [first[0].upper(), first[0].upper() + second]
        tries += [first[0].upper() + letter for letter in first[1:]]
        tries += [str(number) for number in range(1, len(groups) + 1)]
        codes.append(next(code for code in tries if code not in codes))
    return tuple(codes)
