"""Arrays under one name, in Python and in compiled code."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, ClassVar

import numpy as np
import pytest
from numba import config
from numpy.typing import NDArray

from scheduler.decoding.bundle import Bundle
from scheduler.decoding.kernel import kernel

Numbers = NDArray[np.int32]
Table = Annotated[NDArray[np.uint64], 2]


@dataclass(frozen=True, eq=False)
class Inner(Bundle):
    """One list."""

    list: Numbers


@dataclass(frozen=True, eq=False)
class Outer(Bundle):
    """A number, a list, a table and a bundle."""

    number: int
    list: Numbers
    table_of: Table
    inner: Inner


def make() -> Outer:
    """A bundle with something in each field."""
    return Outer(
        number=-7,
        list=np.array([1, -2, 3], np.int32),
        table_of=np.arange(6, dtype=np.uint64).reshape(2, 3),
        inner=Inner(np.array([40, 50], np.int32)),
    )


@kernel
def read(one: Outer, row: int, column: int) -> int:
    """Something of every field."""
    extent = one.table_of.shape[0] * 100 + one.table_of.shape[1]
    element = np.int64(one.table_of[row, column])
    return int(
        one.number + len(one.list) + one.list[1] + extent + element + one.inner.list[1]
    )


@kernel
def write(one: Outer) -> None:
    """Change elements, a row and a whole list."""
    one.list[2] = 9
    one.table_of[1, 2] = np.uint64(70)
    one.inner.list[:] = 8


def test_compiled_code_reads_every_field() -> None:
    """Numbers below zero, lists, tables by row and column, bundles inside."""
    one = make()
    expected = -7 + 3 - 2 + 203 + 5 + 50
    assert read(one, 1, 2) == expected
    assert read.py_func(one, 1, 2) == expected  # type: ignore[attr-defined]


def test_compiled_code_writes_into_the_arrays() -> None:
    """What a kernel writes is in the arrays that Python holds."""
    one = make()
    write(one)
    assert one.list.tolist() == [1, -2, 9]
    assert one.table_of.tolist() == [[0, 1, 2], [3, 4, 70]]
    assert one.inner.list.tolist() == [8, 8]


@dataclass(frozen=True, eq=False)
class Given(Bundle):
    """A list that no kernel writes."""

    constant: ClassVar[bool] = True
    list: Numbers


@kernel
def add_given(given: Given, one: Outer) -> int:
    """Read, write another field, and read again; then hand lists on."""
    before = one.list[0] + given.list[0]
    one.list[0] = 50
    after = one.list[0] + given.list[0]
    return int(before + 100 * after + 10_000 * total(one.list) + total(given.list))


@kernel
def total(numbers: Numbers) -> int:
    """The sum of any list."""
    found = 0
    for k in range(len(numbers)):
        found += numbers[k]
    return found


@kernel
def overwrite(given: Given) -> None:
    """What must not be compiled."""
    given.list[0] = 1


def test_fields_are_read_again_after_they_are_written() -> None:
    """Also where the compiler is told that fields are apart and some constant."""
    given = Given(np.array([2, 3], np.int32))
    expected = (1 + 2) + 100 * (50 + 2) + 10_000 * (50 - 2 + 3) + 5
    assert add_given(given, make()) == expected


def test_a_constant_field_cannot_be_written() -> None:
    """The compiler relies on it, so it is refused when a kernel is compiled."""
    if config.DISABLE_JIT:
        pytest.skip("nothing is compiled")
    with pytest.raises(TypeError, match="constant"):
        overwrite(Given(np.array([2], np.int32)))


@pytest.mark.parametrize(
    "wrong",
    [
        np.array([1, 2], np.int64),
        np.array([[1, 2]], np.int32),
        np.arange(6, dtype=np.int32)[::2],
    ],
    ids=["another type", "two dimensions", "not contiguous"],
)
def test_another_array_is_refused(wrong: NDArray[np.int32]) -> None:
    """Compiled code would misread it."""
    with pytest.raises(TypeError, match="list"):
        Inner(wrong)


def test_more_extents_than_the_table_has_room_for_are_refused() -> None:
    """Compiled code would read the next field as an extent."""

    @dataclass(frozen=True, eq=False)
    class Deep(Bundle):
        blocks: Annotated[NDArray[np.int32], 3]

    with pytest.raises(TypeError, match="found 3 extents"):
        Deep(np.zeros((2, 2, 2), np.int32))
