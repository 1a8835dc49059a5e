"""Samples that take on further rules of the shop."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from models.loading import load_book
from models.sample import write_sample
from models.sample.rules import RULES

DEMO = Path(__file__).parents[3] / "demo_orders"


def files_of(folder: Path) -> dict[str, bytes]:
    """Every file of a sample."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*.toml")
    }


def test_a_yard_of_two_booths_has_no_setups(tmp_path: Path) -> None:
    """Set-ups follow other work, so they are left out of larger yards."""
    write_sample(tmp_path, DEMO, 60, 1, 1.0, None, rules=("setups",))
    stations = load_book(tmp_path).yard.stations
    assert not any(one.setups for one in stations)


@pytest.mark.parametrize("rule", RULES)
def test_each_rule_changes_the_yard_and_loads(rule: str, tmp_path: Path) -> None:
    """A sample with one more rule differs from the plain one and has no fault."""
    write_sample(tmp_path / "plain", DEMO, 12, 1, 1.0, None)
    write_sample(tmp_path / "ruled", DEMO, 12, 1, 1.0, None, rules=(rule,))
    plain, ruled = files_of(tmp_path / "plain"), files_of(tmp_path / "ruled")
    assert plain.keys() == ruled.keys()
    assert any(
        tomllib.loads(plain[name].decode()) != tomllib.loads(ruled[name].decode())
        for name in plain
    )
    load_book(tmp_path / "ruled")
