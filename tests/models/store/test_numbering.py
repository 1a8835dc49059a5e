"""Numbers of loads and published plans."""

from __future__ import annotations

from models.store.log import append
from models.store.numbering import (
    RESTORED,
    newest_number,
    next_number,
    numbers_given,
)
from models.store.transactions import Store, read, write
from tests.models.store.conftest import ANN


def test_numbers_begin_at_one_and_follow(loaded: Store) -> None:
    """The next number follows the newest; plans are counted by themselves."""
    assert read(loaded, lambda c: newest_number(c, "loads")) == 1
    assert read(loaded, lambda c: next_number(c, "loads")) == 2
    assert read(loaded, lambda c: newest_number(c, "publications")) == 0
    assert read(loaded, lambda c: next_number(c, "publications")) == 1


def test_a_restore_leaves_a_gap(loaded: Store) -> None:
    """Numbers that a restore took back are not given again."""
    for numbers in (
        {
            "loads": 4,
            "publications": 2,
            "floor_entries": 0,
            "standards": 0,
            "reservations": 0,
            "jobs": 0,
        },
        {
            "loads": 9,
            "publications": 5,
            "floor_entries": 7,
            "standards": 2,
            "reservations": 3,
            "jobs": 8,
        },
    ):
        details = {"entries": 1, "replaced": 1, "numbers": numbers}
        write(loaded, lambda c, details=details: append(c, ANN, RESTORED, details))
        assert read(loaded, numbers_given) == numbers
    assert read(loaded, lambda c: next_number(c, "loads")) == 10


def test_a_restore_of_an_earlier_version(loaded: Store) -> None:
    """It did not know of entries from the floor; those begin at one."""
    details = {"entries": 1, "replaced": 1, "numbers": {"loads": 4, "publications": 2}}
    write(loaded, lambda c: append(c, ANN, RESTORED, details))
    assert read(loaded, lambda c: next_number(c, "floor_entries")) == 1
