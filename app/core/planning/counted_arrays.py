"""Arrays of whole numbers whose places are counted from the front only, for compiled kernels.

Each place of an array of numpy's may be counted from its end too, by a number below zero. Asking that at every place
took half the time of annealing a list and a sixth of the decoder's. Kernels never do it; a test holds them to that.
Nor do they ask how long an array is: they hand on with every call where it begins, and not the seven values by which
numba knows one of numpy's, which took an eighth of the decoder's time.
This is an extension of numba by its own interface for them; ``compiled`` alone imports it, where numba is installed.
"""

import operator
from collections.abc import Sequence
from typing import Any

import numpy as np
from llvmlite import ir
from numba import types
from numba.core import boxing, cgutils
from numba.core.datamodel import models
from numba.extending import NativeValue, lower_builtin, register_model, typeof_impl, unbox


class CountedArray(np.ndarray):
    """An array that compiled kernels count from its front."""


class CountedArrayType(types.Array):
    """What numba takes such an array for: places of 64 bits, one behind the other."""

    def __init__(self) -> None:
        super().__init__(types.int64, 1, "C", name="CountedArray")


def compiled_once(kernel: Any) -> Any:
    """Return a compiled kernel that is the same for all numbers.

    numba compiles a function anew for every constant that another hands to it, with all that it calls.
    """
    template_for = kernel.get_call_template

    def template(arguments: Sequence[Any], named: Any) -> Any:
        return template_for(tuple(types.unliteral(each) for each in arguments), named)

    kernel.get_call_template = template
    return kernel


def counted_array(values: Sequence[int]) -> Any:
    """Return an array of some numbers."""
    return np.array(values, dtype=np.int64).view(CountedArray)


def _type_of(_array: CountedArray, _context: Any) -> CountedArrayType:
    return CountedArrayType()


def _place(context: Any, builder: Any, kinds: Sequence[Any], values: Sequence[Any]) -> Any:
    """Return where in memory a place of an array is."""
    return builder.gep(values[0], [context.cast(builder, values[1], kinds[1], types.intp)], inbounds=True)


def _get(context: Any, builder: Any, signature: Any, values: Sequence[Any]) -> Any:
    return builder.load(_place(context, builder, signature.args, values))


def _set(context: Any, builder: Any, signature: Any, values: Sequence[Any]) -> Any:
    number = context.cast(builder, values[2], signature.args[2], types.int64)
    builder.store(number, _place(context, builder, signature.args, values))
    return context.get_dummy_value()


class FirstPlace(models.PrimitiveModel):
    """How an array is held: by where its first place is, and nothing else; kernels pass it on with every call."""

    def __init__(self, manager: Any, kind: CountedArrayType) -> None:
        super().__init__(manager, kind, ir.IntType(64).as_pointer())


def _unboxed(_kind: CountedArrayType, array: Any, c: Any) -> Any:
    """Return where the first place of an array of numpy's is."""
    whole = types.Array(types.int64, 1, "C")
    unboxed = boxing.unbox_array(whole, array, c)
    first = cgutils.create_struct_proxy(whole)(c.context, c.builder, unboxed.value).data
    return NativeValue(first, is_error=unboxed.is_error, cleanup=unboxed.cleanup)


register_model(CountedArrayType)(FirstPlace)
unbox(CountedArrayType)(_unboxed)
typeof_impl.register(CountedArray)(_type_of)
lower_builtin(operator.getitem, CountedArrayType, types.Integer)(_get)
lower_builtin(operator.setitem, CountedArrayType, types.Integer, types.Integer)(_set)
