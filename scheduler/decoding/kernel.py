"""How the inner loops are compiled.

They pass some ninety flat arrays from function to function in named tuples. Numba
would count a reference for each of them at each call, with atomic operations, which
made a decode thirteen times slower than the work itself; `_nrt=False` leaves that out.
The price: such a function must not allocate an array, so scratch space comes with the
state and arrays are copied by loops.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar, cast

from numba import config, njit, types
from numpy.typing import NDArray

Function = TypeVar("Function", bound=Callable[..., Any])


def _use_own_cache() -> None:
    """Keep compiled code in a folder named by what all of it was compiled from.

    Numba looks at the file of a function alone: change one that it calls, and the old
    code would go on being used.
    """
    here = Path(__file__).parent.parent
    if "NUMBA_CACHE_DIR" in os.environ or not os.access(here, os.W_OK):
        return
    digest = hashlib.sha256()
    for source in sorted(here.rglob("*.py")):
        text = source.read_bytes()
        if b"kernel" in text or source.stem in ("bundle", "arrays"):
            digest.update(text)
    folder = here / "__pycache__" / f"kernels-{digest.hexdigest()[:12]}"
    setattr(config, "CACHE_DIR", str(folder))  # noqa: B010 (numba types no settings)


_use_own_cache()


def _wide(kind: types.Type) -> types.Type:
    plain = types.unliteral(kind)
    if isinstance(plain, types.Array):
        return getattr(plain, "anywhere", lambda: plain)()
    whole = isinstance(plain, types.Integer) and plain.signed
    return types.int64 if whole else plain


def one_version(compiled: Any) -> Any:
    """Give a kernel one version for all integers that other kernels hand to it.

    Numba would compile another for each mix of int32, int64 and written constants: two
    versions of most functions, and of all that they call. Masks (unsigned) and arrays
    keep their kind.
    """
    if config.DISABLE_JIT:
        return compiled
    resolve = compiled.get_call_template

    def resolve_wide(args: tuple[types.Type, ...], named: dict[str, types.Type]) -> Any:
        return resolve(tuple(_wide(kind) for kind in args), named)

    compiled.get_call_template = resolve_wide
    return compiled


def kernel(function: Function) -> Function:
    """Compile a function that allocates nothing; kept on disk, run without the lock."""
    options: dict[str, Any] = {"cache": True, "nogil": True, "_nrt": False}
    return cast("Function", one_version(njit(**options)(function)))


def inlined(function: Function) -> Function:
    """Compile a small kernel into each of its callers: a call costs more than it."""
    options: dict[str, Any] = {"cache": True, "nogil": True, "_nrt": False}
    return cast("Function", one_version(njit(forceinline=True, **options)(function)))


def allocating_kernel(function: Function) -> Function:
    """Compile a function that makes arrays of its own, and is called seldom."""
    return cast("Function", one_version(njit(cache=True, nogil=True)(function)))


@kernel
def copy_row(source: NDArray[Any], target: NDArray[Any]) -> None:
    """Copy a list over another (a slice assignment would allocate)."""
    for k in range(len(source)):
        target[k] = source[k]


@kernel
def copy_table(source: NDArray[Any], target: NDArray[Any], since: int) -> None:
    """Copy the columns of a table from `since` on over another's."""
    for row in range(source.shape[0]):
        for column in range(since, source.shape[1]):
            target[row, column] = source[row, column]
