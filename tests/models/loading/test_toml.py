"""TOML: a syntax error is a fault with line and column."""

from __future__ import annotations

import pytest

from models.errors import DataFaults
from models.loading.faults import FaultLog
from models.loading.toml import parse_toml


def where(text: str) -> str:
    """Parse; give the place of the one fault."""
    log = FaultLog()
    assert parse_toml(text, "yard.toml", log) is None
    with pytest.raises(DataFaults) as raised:
        log.raise_if_any()
    assert len(raised.value.faults) == 1
    return raised.value.faults[0].where


def test_sound() -> None:
    """A sound document gives its tables."""
    assert parse_toml("a = 1\n[b]\nc = 2\n", "yard.toml", FaultLog()) == {
        "a": 1,
        "b": {"c": 2},
    }


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("a = 1\nb = ,\n", "line 2, column 5"),
        ("a = 1\na = 2\n", "line 2, column 6"),
        ("a = 2027-02-30\n", "line 1, column 5"),
        ("a = [1,", "end of file"),
        ("a = " + "[" * 5000, "file"),
    ],
    ids=["value", "twice", "date", "unclosed", "deep"],
)
def test_syntax_errors(text: str, place: str) -> None:
    """Each kind of syntax error names where it is."""
    assert where(text) == place
