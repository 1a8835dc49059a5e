"""Faults: gathered in order, each on one line, with the nearest name."""

from __future__ import annotations

import pytest

from models.errors import DataFaults
from models.loading.faults import FaultLog, listed, one_line, one_of, quoted


def test_order_of_files() -> None:
    """Faults come in the order in which the files were opened, whatever came first."""
    log = FaultLog()
    log.open("yard.toml")
    log.open("orders.csv")
    log.add("orders.csv", "row 2", "a", "b")
    log.add("yard.toml", "name", "c", "d")
    with pytest.raises(DataFaults) as raised:
        log.raise_if_any()
    assert [fault.file for fault in raised.value.faults] == ["yard.toml", "orders.csv"]
    assert str(raised.value).splitlines() == [
        "yard.toml: name: found c; expected d",
        "orders.csv: row 2: found a; expected b",
    ]


def test_the_same_fault_counts_once() -> None:
    """Two checks that find the same thing say it once."""
    log = FaultLog()
    log.add("a.csv", "row 2", "x", "y")
    log.add("a.csv", "row 2", "x", "y")
    assert log.count == 1


def test_no_fault_raises_nothing() -> None:
    """Opening files is no fault."""
    log = FaultLog()
    log.open("yard.toml")
    log.raise_if_any()
    assert log.count == 0


def test_one_line() -> None:
    """Line breaks, control characters and overlong values cannot spoil a line."""
    assert one_line("a\nb\x1b[31m") == "a\\nb\\x1b[31m"
    assert len(one_line("x" * 1000)) == 160
    assert len(quoted("y" * 1000)) == 80


def test_quoted() -> None:
    """A blank cell reads as nothing, a number without quotes."""
    assert [quoted(""), quoted(None), quoted(3), quoted("a")] == [
        "nothing",
        "nothing",
        "3",
        "'a'",
    ]


def test_listed() -> None:
    """Long lists are cut, with their length."""
    assert listed("ba") == "a, b"
    assert listed("abcdefghij") == "a, b, c, d, e, f, g, h, ... (10 in all)"


def test_nearest_name() -> None:
    """A near miss is suggested; a far one gets the list; nothing known says so."""
    assert one_of("hul", ["hull", "deck"], "a part") == "a part; did you mean 'hull'?"
    assert one_of("zzz", ["hull", "deck"], "a part") == "a part, one of deck, hull"
    assert one_of("zzz", [], "a part") == "a part, but there is none"


def test_nearest_of_very_many() -> None:
    """Among very many names only those that begin alike are compared."""
    many = [f"A-{number}" for number in range(5000)] + ["B-7777"]
    assert one_of("B-777", many, "an order") == "an order; did you mean 'B-7777'?"
