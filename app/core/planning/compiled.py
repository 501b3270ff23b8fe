"""The kernels compiled by numba, where it is installed: the same functions, machine code instead of plain Python.

numba and numpy are imported by this module and ``counted_arrays`` alone, when ``engine`` is called: they are large and
slow to load, so only the planner process and the commands that plan ask for them.

By numba's own defaults compiling took longer and the kernels were slower: here only what Python calls can be called
from Python, no function is compiled once more for each number that it is given, and what is small or called in one
place only becomes part of whoever calls it, but for searches of lists.
"""

import hashlib
import importlib
import platform
import re
import shutil
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields
from dis import get_instructions
from functools import cache
from importlib.metadata import version
from itertools import chain
from pathlib import Path
from types import FunctionType, ModuleType
from typing import Any, Final

from app.core.planning import arrays, graph_arrays, list_arrays, rank_arrays
from app.core.planning.decoding import Engine

CALLED: Final = tuple(field.name for field in fields(Engine) if field.name != "array")
"""The kernels that Python calls; all others are called by kernels only."""
KERNELS: Final = (
    "rows",
    "luck",
    "heap",
    "spans",
    "clocks",
    "queues",
    "times",
    "flow",
    "outside",
    "people",
    "reopening",
    "starting",
    "batches",
    "setting_out",
    "waking",
    "dispatch",
    "snapshots",
    "appending",
    "rules",
    "list_moves",
    "annealing",
    "graph",
    "tabu",
    "relinking",
    "hours",
    "stretches",
    "graph_annealing",
    "rule_dispatch",
    "rank_annealing",
)
"""The modules in which kernels are, those that are used by others first."""
OF_LISTS: Final = {"snapshots", "appending", "rules", "list_moves", "annealing"}
"""Where the compiler's own choice of what becomes part of its caller is 4 % faster; the decoder is by 10 % slower."""
SMALL: Final = 520
"""So many bytes of Python's own code cost less where they are wanted than the call of them,"""
LARGE: Final = 2500
"""and so many are a function of their own even where they are called in one place only."""
UNUSED_FOR_S: Final = 3600
"""Machine code of another version that was used this recently may still be in use."""


def engine(cache_folder: Path | None = None) -> Engine | None:
    """Return the compiled engine, or None where numba is not installed.

    Args:
        cache_folder: where machine code is kept between processes; None keeps none.
    """
    kernels = compiled_kernels(cache_folder)
    return None if kernels is None else engine_of(kernels)


@dataclass(frozen=True, slots=True)
class Kernels:
    """The compiled kernels by their names, and how an array is made from a list."""

    functions: Mapping[str, Any]
    array: Callable[[Sequence[int]], Any]


def engine_of(kernels: Kernels) -> Engine:
    """Return the decoder and the search among compiled kernels."""
    return Engine(**{name: kernels.functions[name] for name in CALLED}, array=kernels.array)


@cache
def compiled_kernels(
    cache_folder: Path | None, more: tuple[str, ...] = (), called: tuple[str, ...] = ()
) -> Kernels | None:
    """Return the kernels compiled, or None where numba is not installed.

    Args:
        cache_folder: where machine code is kept between processes; None keeps none.
        more: full names of further modules of kernels, which use these.
        called: those of their kernels that Python calls.
    """
    try:
        numba = importlib.import_module("numba")
    except ImportError:
        return None
    counted = importlib.import_module("app.core.planning.counted_arrays")
    names = [f"app.core.planning.kernels.{name}" for name in KERNELS]
    modules = [importlib.import_module(name) for name in (*names, *more)]
    if cache_folder is not None:
        _keep_in(numba, cache_folder)
    is_called = {*CALLED, *called}
    is_part = parts_of_callers(modules) - is_called

    def compiler(function: FunctionType) -> Any:
        name = function.__name__
        # The kernels make no arrays. Counting who holds those that they are given cost a sixth of their time.
        made = numba.njit(
            cache=cache_folder is not None,
            error_model="numpy",
            nogil=True,
            _nrt=False,
            no_cpython_wrapper=name not in is_called,
            no_cfunc_wrapper=True,
            forceinline=name in is_part,
        )
        return counted.compiled_once(made(function))

    return Kernels(compiled_functions(modules, compiler), counted.counted_array)


def parts_of_callers(modules: Sequence[ModuleType]) -> set[str]:
    """Return the functions of some modules that are better a part of whoever calls them than functions of their own."""
    kernels = list(_functions(modules))
    sizes = {each.__name__: len(each.__code__.co_code) for each in kernels}
    named = chain.from_iterable(map(get_instructions, kernels))
    places = Counter(each.argval for each in named if each.opname == "LOAD_GLOBAL")
    of_lists = {each.__name__ for each in kernels if each.__module__.rpartition(".")[2] in OF_LISTS}
    parts = {name for name, size in sizes.items() if size < SMALL or (places[name] == 1 and size < LARGE)}
    return parts - of_lists


def _functions(modules: Sequence[ModuleType]) -> Iterator[FunctionType]:
    """Give the functions that some modules define."""
    for module in modules:
        for value in vars(module).values():
            if isinstance(value, FunctionType) and value.__module__ == module.__name__:
                yield value


def compiled_functions(modules: Sequence[ModuleType], compiler: Callable[[Any], Any]) -> dict[str, Any]:
    """Return the compiled form of every function of some modules by its name.

    Each is compiled from a copy whose globals hold the compiled form of the others, so that the plain ones stay plain.
    """
    made: dict[str, Any] = {}
    for module in modules:
        space = dict(vars(module))
        space.update({name: made[name] for name in space if name in made})
        for function in _functions([module]):
            copy = FunctionType(function.__code__, space, function.__name__, function.__defaults__)
            copy.__module__ = module.__name__
            made[copy.__name__] = space[copy.__name__] = compiler(copy)
    return made


def _keep_in(numba: Any, folder: Path) -> None:
    """Have numba keep its machine code in a folder of its own for this version of all kernels.

    It watches only the file of each function, not those of the functions that it calls.
    """
    own = own_folder(folder)
    own.mkdir(parents=True, exist_ok=True)
    own.touch()
    throw_away_older(own)
    numba.config.CACHE_DIR = str(own)


def own_folder(folder: Path) -> Path:
    """Return where in a folder the machine code of this version of all kernels is kept, read from where they are.

    Raises:
        PackageNotFoundError: numba is not installed.
    """
    packages = Path(__file__).parents[1]
    sources = [
        *sorted(packages.glob("*/kernels/*.py")),
        *(Path(str(each.__file__)) for each in (arrays, graph_arrays, list_arrays, rank_arrays)),
        *(Path(__file__), Path(__file__).with_name("counted_arrays.py")),
    ]
    content = b"".join(source.read_bytes() for source in sources)
    state = f"{version('numba')} {platform.python_version()} {platform.machine()} {packages}".encode()
    return folder / hashlib.sha256(content + state).hexdigest()[:16]


def throw_away_older(own: Path) -> None:
    """Remove the machine code of other versions beside ``own`` that nobody has used in the hour before it was.

    What cannot be removed now is tried again next time.
    """
    latest = own.stat().st_mtime - UNUSED_FOR_S
    for other in own.parent.iterdir():
        is_code = re.fullmatch("[0-9a-f]{16}", other.name) and other.is_dir() and other != own
        if is_code and other.stat().st_mtime < latest:
            shutil.rmtree(other, ignore_errors=True)
