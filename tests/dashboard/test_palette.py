"""Inks and washes: what can be told apart, on screen, on grey paper, by most eyes."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from dashboard.palette import (
    ALARM,
    INK,
    INK_SOFT,
    NOW,
    ON_WASH,
    PAPER,
    WASHES,
    short_codes,
)

# Least contrast: WCAG 2.2, success criteria 1.4.3 (lettering, 4.5) and 1.4.11 (3).
LETTERING, SIGNS = 4.5, 3.0
# How eyes without one kind of cone see linear light: matrices of Machado, Oliveira and
# Fernandes (2009) at full severity, quoted from memory.
EYES = {
    "three kinds of cones": np.eye(3),
    "no long waves": np.array(
        [
            [0.152286, 1.052583, -0.204868],
            [0.114503, 0.786281, 0.099216],
            [-0.003882, -0.048116, 1.051998],
        ]
    ),
    "no middle waves": np.array(
        [
            [0.367322, 0.860646, -0.227968],
            [0.280085, 0.672501, 0.047413],
            [-0.011820, 0.042940, 0.968881],
        ]
    ),
}
TO_XYZ = np.array(
    [
        [0.4124, 0.3576, 0.1805],
        [0.2126, 0.7152, 0.0722],
        [0.0193, 0.1192, 0.9505],
    ]
)


def linear(color: str) -> np.ndarray:
    """Linear light of a color written as #rrggbb (the transfer curve of sRGB)."""
    coded = np.array([int(color[k : k + 2], 16) / 255 for k in (1, 3, 5)])
    curved = ((coded + 0.055) / 1.055) ** 2.4
    return np.where(coded <= 0.04045, coded / 12.92, curved)


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colors, as WCAG defines it."""
    low, high = sorted(float(TO_XYZ[1] @ linear(color)) for color in (one, other))
    return (high + 0.05) / (low + 0.05)


def lab(light: np.ndarray) -> np.ndarray:
    """CIE L*a*b* of linear light under D65."""
    scaled = np.clip(light, 0, 1) @ TO_XYZ.T / np.array([0.9505, 1, 1.089])
    bent = np.where(scaled > 0.008856, np.cbrt(scaled), 7.787 * scaled + 16 / 116)
    x, y, z = bent
    return np.array([116 * y - 16, 500 * (x - y), 200 * (y - z)])


def test_contrast_agrees_with_its_definition() -> None:
    """Black on white is 21 to 1 and a color on itself 1 to 1 (WCAG 2.2)."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#8c3b2a", "#8c3b2a") == pytest.approx(1)


@pytest.mark.parametrize("ink", [INK, INK_SOFT, ALARM, NOW])
def test_inks_can_be_read_on_paper(ink: str) -> None:
    """Lettering in any ink can be read on the sheet."""
    assert contrast(ink, PAPER) >= LETTERING


def test_letters_can_be_read_on_their_wash() -> None:
    """The code of a group can be read on its fill."""
    pairs = list(zip(WASHES, ON_WASH, strict=True))
    assert len(pairs) == 6
    assert [one for one in pairs if contrast(*one) < LETTERING] == []


def test_every_wash_has_an_edge_that_shows() -> None:
    """A fill or the ink outline around it stands out from the paper."""
    assert contrast(INK, PAPER) >= SIGNS
    weak = [one for one in WASHES if max(contrast(one, PAPER), contrast(one, INK)) < 2]
    assert weak == []


@pytest.mark.parametrize("eyes", EYES)
def test_washes_are_far_apart(eyes: str) -> None:
    """Two groups never look alike, whichever cones an eye has (20 in L*a*b*)."""
    seen = [lab(EYES[eyes] @ linear(one)) for one in WASHES]
    gaps = [float(np.linalg.norm(a - b)) for a, b in itertools.combinations(seen, 2)]
    assert min(gaps) > 20


def test_codes_of_groups_differ() -> None:
    """Groups have short codes of their own, also where they begin alike."""
    names = ("Lamination", "Lay-up", "Launch", "Rigging", "Lifting", "Lacquer")
    codes = short_codes(names)
    assert len(set(codes)) == len(names)
    assert max(map(len, codes)) <= 2
