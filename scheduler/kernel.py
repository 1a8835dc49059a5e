"""How the inner loops are compiled.

They pass some ninety flat arrays from function to function in named tuples. Numba
would count a reference for each of them at each call, with atomic operations, which
made a decode thirteen times slower than the work itself; `_nrt=False` leaves that out.
The price: such a function must not allocate an array, so scratch space comes with the
state and arrays are copied by loops.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar, cast

from numba import njit
from numpy.typing import NDArray

Function = TypeVar("Function", bound=Callable[..., Any])


def kernel(function: Function) -> Function:
    """Compile a function that allocates nothing; kept on disk, run without the lock."""
    options: dict[str, Any] = {"cache": True, "nogil": True, "_nrt": False}
    return cast("Function", njit(**options)(function))


@kernel
def copy_row(source: NDArray[Any], target: NDArray[Any]) -> None:
    """Copy a list over another (a slice assignment would allocate)."""
    for k in range(len(source)):
        target[k] = source[k]


@kernel
def copy_table(source: NDArray[Any], target: NDArray[Any], since: int) -> None:
    """Copy the rows of a table from `since` on over another's."""
    for k in range(since, source.shape[0]):
        for column in range(source.shape[1]):
            target[k, column] = source[k, column]
