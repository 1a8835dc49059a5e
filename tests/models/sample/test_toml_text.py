"""Writing plain data as TOML."""

from __future__ import annotations

import tomllib
from datetime import date, datetime, time
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from models.sample.toml_text import to_toml

KEYS = st.text(st.characters(codec="utf-8"), min_size=1, max_size=6)
SCALARS = (
    st.booleans()
    | st.integers(-(2**63), 2**63 - 1)
    | st.floats(allow_nan=False)
    | st.text(st.characters(codec="utf-8"), max_size=8)
    | st.dates(min_value=date(1, 1, 1))
    | st.datetimes()
    | st.times()
)
VALUES = st.recursive(
    SCALARS,
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(KEYS, inner, max_size=3)
    ),
    max_leaves=8,
)


@given(st.dictionaries(KEYS, VALUES, max_size=5))
def test_what_is_written_reads_back(table: dict[str, Any]) -> None:
    """Any table comes back equal when the standard library reads its text."""
    assert tomllib.loads(to_toml(table)) == table


def test_values_stand_before_tables() -> None:
    """A value after a table in the mapping still belongs to the outer table."""
    table = {"shop": {"open": time(6)}, "as_of": date(2027, 3, 1), "list": [{"a": 1}]}
    text = to_toml(table)
    assert text.index("as_of") < text.index("[shop]") < text.index("[[list]]")
    assert tomllib.loads(text) == table


def test_an_instant_keeps_its_form() -> None:
    """A naive local time is written as one."""
    at = datetime.fromisoformat("2027-03-01T06:00")
    assert to_toml({"at": at}) == "at = 2027-03-01T06:00:00\n"


def test_what_toml_lacks_is_refused() -> None:
    """TOML has no null and no set."""
    with pytest.raises(TypeError, match="NoneType"):
        to_toml({"a": None})
