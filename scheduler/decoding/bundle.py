"""Many arrays under one name, handed to compiled code as one address.

A kernel reads some ninety arrays. As a tuple they would be passed by value, seven words
for each, at every call that the compiler does not inline: most of a decode was spent on
that, and most of the compiling. A bundle keeps a table of addresses and shapes instead;
a kernel gets the table's address and reads what it needs. In Python it is a frozen
dataclass like any other. Numbers and shapes are fixed when it is made, which is what
lets the compiler read them once; what is in the arrays may change.
"""

from __future__ import annotations

import operator
from dataclasses import dataclass, field, fields
from functools import cache
from typing import Any, ClassVar, get_args, get_type_hints

import numpy as np
from llvmlite import ir
from numba import config
from numba.core import cgutils, types
from numba.core.datamodel import models
from numba.core.extending import (
    NativeValue,
    infer_getattr,
    lower_builtin,
    lower_cast,
    lower_getattr_generic,
    register_model,
    typeof_impl,
    unbox,
)
from numba.core.types.containers import BaseTuple
from numba.core.typing.templates import AttributeTemplate
from numba.np import arrayobj
from numba.np.arrayobj import make_array, populate_array
from numba.np.numpy_support import from_dtype
from numpy.typing import NDArray

SLOTS = 3
"""Words of the table for each field: an address or a number, then the shape."""


OWN = ("address", "table")
"""Fields of a bundle itself, which are not in its table."""


@dataclass(frozen=True, eq=False)
class Bundle:
    """Base of a frozen dataclass of integers, arrays and other bundles.

    A field is declared `int`, as an array of one dimension (`NDArray[...]`), as
    `Annotated[NDArray[...], 2]` for two, or as another bundle.

    Raises
    ------
    TypeError
        If an array is not of the declared type, contiguous and in C order.
    """

    constant: ClassVar[bool] = False
    """Whether no kernel ever writes into the arrays."""
    address: int = field(init=False, repr=False)
    table: NDArray[np.int64] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        """Write down where everything is."""
        owner: Any = type(self)
        declared = declared_types(owner)
        table = np.zeros(SLOTS * len(declared), np.int64)
        for place, (name, kind) in enumerate(declared.items()):
            value = getattr(self, name)
            slot = SLOTS * place
            if isinstance(kind, types.Array):
                _refuse_unless_fit(name, value, kind)
                table[slot] = value.ctypes.data
                table[slot + 1 : slot + 1 + value.ndim] = value.shape
            elif isinstance(kind, BundleType):
                table[slot] = value.address
            else:
                table[slot] = value
        object.__setattr__(self, "table", table)
        object.__setattr__(self, "address", table.ctypes.data)


@cache
def declared_types(owner: Any) -> dict[str, types.Type]:
    """Compiled types of the fields of a kind of bundle, in the order of the table."""
    hints = get_type_hints(owner, include_extras=True)
    names = [one.name for one in fields(owner) if one.name not in OWN]
    return {name: _compiled_type(owner, name, hints[name]) for name in names}


def _compiled_type(owner: Any, name: str, hint: Any) -> types.Type:
    if hint is int:
        return types.int64
    if isinstance(hint, type) and issubclass(hint, Bundle):
        return BundleType(hint)
    dimensions = 1
    if hasattr(hint, "__metadata__"):
        dimensions, hint = hint.__metadata__[0], hint.__origin__
    if dimensions >= SLOTS:
        raise TypeError(f"a bundle holds lists and tables, found {dimensions} extents")
    (scalar,) = get_args(get_args(hint)[1])
    home = f"{owner.__module__}.{owner.__qualname__}.{name}"
    return FieldArray(from_dtype(np.dtype(scalar)), dimensions, home, owner.constant)


def _refuse_unless_fit(name: str, value: NDArray[Any], kind: types.Array) -> None:
    found = from_dtype(value.dtype)
    if found != kind.dtype or value.ndim != kind.ndim or not value.flags.c_contiguous:
        raise TypeError(
            f"{name}: found {value.ndim}-dimensional {value.dtype}, "
            f"expected contiguous {kind}"
        )


class FieldArray(types.Array):
    """An array of a bundle: an index below zero is an error, not the end.

    It knows its field, for no two fields share memory; one of a constant bundle is
    never written by a kernel. A field handed to another kernel is any array.
    """

    def __init__(
        self, dtype: types.Type, dimensions: int, home: str = "", constant: bool = False
    ) -> None:
        self.home = home
        self.constant = constant
        name = f"field({dtype}, {dimensions}, {home})"
        super().__init__(dtype, dimensions, "C", name=name)

    @property
    def key(self) -> Any:
        """What tells one kind from another."""
        return (*super().key, self.home, self.constant)

    @property
    def mangling_args(self) -> Any:
        """Its part of the name of a compiled function."""
        return self.__class__.__name__, [self.dtype, self.ndim, self.home]

    def anywhere(self) -> FieldArray:
        """The same kind of array, of no field in particular."""
        return FieldArray(self.dtype, self.ndim)


register_model(FieldArray)(models.ArrayModel)


@lower_cast(FieldArray, types.Array)
def _as_any_array(
    context: Any, builder: Any, source: Any, target: Any, value: Any
) -> Any:
    """Hand a field to a kernel that takes any array: nothing to do."""
    del context, builder, source, target
    return value


def _place(context: Any, builder: Any, kind: Any, array: Any, index: Any) -> Any:
    """Pointer to an element of a field, given the types and values of its index.

    Without the usual test for an index below zero the compiler can use vectors;
    with NUMBA_BOUNDSCHECK=1 every index is tested.
    """
    index_type, value = index
    words = [(index_type, value)]
    if isinstance(index_type, BaseTuple):
        parts = cgutils.unpack_tuple(builder, value, count=len(index_type))
        words = list(zip(index_type, parts, strict=True))
    held = make_array(kind)(context, builder, array)
    shape = cgutils.unpack_tuple(builder, held.shape, count=kind.ndim)
    offset = ir.Constant(ir.IntType(64), 0)
    for axis, (one, part) in enumerate(words):
        word = context.cast(builder, part, one, types.intp)
        if config.BOUNDSCHECK:
            cgutils.do_boundscheck(context, builder, word, shape[axis], axis)
        row = builder.mul(offset, shape[axis], flags=["nsw"])
        offset = builder.add(row, word, flags=["nsw"])
    return builder.gep(held.data, [offset], inbounds=True)


def _tell_apart(builder: Any, kind: Any, access: Any) -> None:
    """Tell the compiler that elements of two fields are never the same memory."""
    if not kind.home:
        return
    module, zero = builder.module, ir.Constant(ir.IntType(64), 0)
    root = module.add_metadata(["fields of bundles"])
    own = module.add_metadata([kind.home, root, zero])
    access.set_metadata("tbaa", module.add_metadata([own, own, zero]))


def _is_element(kind: types.Array, index: types.Type) -> bool:
    if isinstance(index, BaseTuple):
        whole = all(isinstance(one, types.Integer) for one in index)
        return whole and len(index) == kind.ndim
    return kind.ndim == 1


@lower_builtin(operator.getitem, FieldArray, types.Integer)
@lower_builtin(operator.getitem, FieldArray, BaseTuple)
def _get_element(context: Any, builder: Any, sig: Any, args: Any) -> Any:
    kind, index = sig.args
    if not _is_element(kind, index):
        general = (
            arrayobj.getitem_array_tuple
            if isinstance(index, BaseTuple)
            else arrayobj.getitem_arraynd_intp
        )
        return general(context, builder, sig, args)
    place = _place(context, builder, kind, args[0], (index, args[1]))
    if not isinstance(kind.dtype, types.Integer | types.Float):
        return context.unpack_value(builder, kind.dtype, place)
    loaded = builder.load(place)
    _tell_apart(builder, kind, loaded)
    if kind.constant:
        loaded.set_metadata("invariant.load", builder.module.add_metadata([]))
    return loaded


@lower_builtin(operator.setitem, FieldArray, types.Integer, types.Number)
@lower_builtin(operator.setitem, FieldArray, BaseTuple, types.Number)
def _set_element(context: Any, builder: Any, sig: Any, args: Any) -> Any:
    kind, index, value = sig.args
    if kind.constant:
        raise TypeError(f"{kind.home} is constant")
    if not _is_element(kind, index):
        return arrayobj.setitem_array(context, builder, sig, args)
    place = _place(context, builder, kind, args[0], (index, args[1]))
    word = context.cast(builder, args[2], value, kind.dtype)
    if isinstance(kind.dtype, types.Integer | types.Float):
        _tell_apart(builder, kind, builder.store(word, place))
    else:
        context.pack_value(builder, kind.dtype, word, place)
    return context.get_dummy_value()


class BundleType(types.Type):
    """A bundle in compiled code: the address of its table."""

    def __init__(self, owner: type[Bundle]) -> None:
        self.owner: Any = owner
        super().__init__(name=f"Bundle({owner.__module__}.{owner.__qualname__})")


@typeof_impl.register(Bundle)
def _typeof(value: Bundle, context: object) -> BundleType:
    return BundleType(type(value))


@register_model(BundleType)
class _Model(models.PrimitiveModel):
    def __init__(self, manager: Any, kind: BundleType) -> None:
        super().__init__(manager, kind, ir.IntType(64).as_pointer())


@unbox(BundleType)
def _unbox(kind: BundleType, value: Any, c: Any) -> NativeValue:
    held = c.pyapi.object_getattr_string(value, "address")
    address = c.pyapi.long_as_voidptr(held)
    c.pyapi.decref(held)
    return NativeValue(
        c.builder.bitcast(address, ir.IntType(64).as_pointer()),
        is_error=cgutils.is_not_null(c.builder, c.pyapi.err_occurred()),
    )


@infer_getattr
class _Attributes(AttributeTemplate):
    key = BundleType

    def generic_resolve(self, kind: BundleType, name: str) -> types.Type | None:
        """Type of a field; None if there is none of that name."""
        return declared_types(kind.owner).get(name)


@lower_getattr_generic(BundleType)
def _read(context: Any, builder: Any, kind: BundleType, table: Any, name: str) -> Any:
    """Read a field from the table, which is never written after it was made."""
    declared = declared_types(kind.owner)
    slot = SLOTS * list(declared).index(name)

    def word(offset: int) -> Any:
        place = ir.Constant(ir.IntType(64), slot + offset)
        loaded = builder.load(builder.gep(table, [place]))
        loaded.set_metadata("invariant.load", builder.module.add_metadata([]))
        return loaded

    wanted = declared[name]
    if isinstance(wanted, BundleType):
        return builder.inttoptr(word(0), ir.IntType(64).as_pointer())
    if not isinstance(wanted, types.Array):
        return word(0)
    array = make_array(wanted)(context, builder)
    size = context.get_abi_sizeof(context.get_data_type(wanted.dtype))
    shape = [word(1 + k) for k in range(wanted.ndim)]
    item = ir.Constant(ir.IntType(64), size)
    strides = [item]
    for extent in reversed(shape[1:]):
        strides.insert(0, builder.mul(strides[0], extent))
    populate_array(
        array,
        data=builder.inttoptr(word(0), array.data.type),
        shape=cgutils.pack_array(builder, shape),
        strides=cgutils.pack_array(builder, strides),
        itemsize=item,
        meminfo=None,
        parent=None,
    )
    return array._getvalue()
