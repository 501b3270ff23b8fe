"""Strict reading of JSON into frozen dataclasses, and writing back; a wrong value is named by its path.

A dataclass is an object with its fields' names; a field with a default may be left out; an unknown name is refused. A
tuple is a list, an enumeration its text, a date ``YYYY-MM-DD``, a time of day ``HH:MM`` (or ``HH:MM:SS``). Where a
field can be one of several dataclasses the object has a ``kind``.
"""

import json
import re
import types
from collections import deque
from collections.abc import Mapping
from dataclasses import MISSING, Field, fields, is_dataclass
from datetime import date, time
from enum import Enum
from functools import cache
from typing import Any, Final, Union, get_args, get_origin, get_type_hints


class BadFileError(ValueError):
    """A value in a file is not what belongs there; the sentence begins with the path to it."""

    def __init__(self, path: str, wrong: str) -> None:
        self.path = path
        super().__init__(f"{path or 'file'}: {wrong}")


MOST: Final = 2**53
"""Whole numbers of a file are below it on both sides of zero, so that what is reckoned from them fits the arrays."""
_HALF = re.compile(r"\\u[dD][89a-fA-F]")
"""How JSON writes half a character; a text that is decoded has none of itself."""
Kinds = Mapping[type, str]
"""The ``kind`` of each dataclass that shares a field with others."""


def parsed(text: str) -> Any:
    """Return what a file says as JSON.

    Raises:
        BadFileError: it is no JSON, or has half a character, which nothing could write again.
    """
    try:
        document = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise BadFileError("", f"is not JSON: {error}") from error
    if _HALF.search(text):
        _refuse_halves(document)
    return document


def _refuse_halves(document: Any) -> None:
    """Raise BadFileError for a text, or the name of a field, with one half of a pair of surrogates alone.

    Goes through the document without calling itself, as JSON may be deeper than Python's calls.
    """
    left = deque([("", document)])
    while left:
        path, value = left.popleft()
        if isinstance(value, str) and any("\ud800" <= each <= "\udfff" for each in value):
            raise BadFileError(path, f"has a character that is none: {_shown(value)}.")
        if isinstance(value, list):
            left += [(at(path, place), each) for place, each in enumerate(value)]
        if isinstance(value, dict):
            left += [(path, name) for name in value]
            left += [(at(path, name), each) for name, each in value.items()]


def read(wanted: Any, value: Any, path: str, kinds: Kinds) -> Any:
    """Return ``value``, as JSON has it, as what ``wanted`` says.

    Raises:
        BadFileError: it is not.
    """
    origin = get_origin(wanted)
    if origin in {Union, types.UnionType}:
        return _read_union(get_args(wanted), value, path, kinds)
    if origin is tuple:
        return _read_tuple(get_args(wanted), value, path, kinds)
    if origin is frozenset:
        return frozenset(_read_tuple((*get_args(wanted), ...), value, path, kinds))
    if is_dataclass(wanted) and isinstance(wanted, type):
        return read_object(wanted, value, path, kinds)
    if isinstance(wanted, type) and issubclass(wanted, tuple):  # a NamedTuple
        return wanted(*_read_tuple(tuple(get_type_hints(wanted).values()), value, path, kinds))
    return _read_plain(wanted, value, path)


def read_object(wanted: type, value: Any, path: str, kinds: Kinds, **given: Any) -> Any:
    """Return an object as a dataclass; ``given`` fields are not looked for in it.

    Raises:
        BadFileError: a field is missing, unknown or wrong, or the dataclass refuses them together.
    """
    known = _known(wanted)
    extra = {"kind"} if wanted in kinds else set()
    checked = object_with(value, path, {*known, *extra} - set(given))
    made = dict(given)
    for name, (each, hint) in known.items():
        if name in given:
            continue
        if name in checked:
            made[name] = read(hint, checked[name], at(path, name), kinds)
        elif each.default is MISSING and each.default_factory is MISSING:
            raise BadFileError(at(path, name), "is missing.")
    try:
        return wanted(**made)
    except ValueError as error:
        raise BadFileError(path, str(error)) from error


def check_most(value: int, path: str, times: int = 1) -> None:
    """Refuse a number that is too large, or becomes so ``times`` as large.

    Raises:
        BadFileError: it is.
    """
    if abs(value * times) >= MOST:
        raise BadFileError(path, f"is beyond what can be reckoned with: {_shown(value)}.")


def object_with(value: Any, path: str, names: set[str]) -> Mapping[str, Any]:
    """Return ``value`` if it is an object with no other names than these.

    Raises:
        BadFileError: it is not.
    """
    if not isinstance(value, dict):
        raise BadFileError(path, f"must be an object, not {_shown(value)}.")
    for name in value:
        if name not in names:
            raise BadFileError(at(path, name), f"is not known here; known are {', '.join(sorted(names))}.")
    return value


def at(path: str, name: str | int) -> str:
    """Return the path of something inside ``path``."""
    if isinstance(name, int):
        return f"{path}[{name}]"
    return f"{path}.{name}" if path else name


def write(value: Any, kinds: Kinds) -> Any:
    """Return a dataclass as JSON has it; fields that have their default are left out."""
    if is_dataclass(value) and not isinstance(value, type):
        start = {"kind": kinds[type(value)]} if type(value) in kinds else {}
        return start | {
            each.name: write(getattr(value, each.name), kinds)
            for each in fields(value)
            if each.init and not _is_default(each, getattr(value, each.name))
        }
    if isinstance(value, tuple):
        return [write(each, kinds) for each in value]
    if isinstance(value, frozenset):
        return sorted(write(each, kinds) for each in value)
    if isinstance(value, date | time):
        return value.isoformat()
    return value.value if isinstance(value, Enum) else value


def _is_default(each: "Field[Any]", value: Any) -> bool:
    return each.default is not MISSING and bool(each.default == value) and type(each.default) is type(value)


@cache
def _known(wanted: type) -> dict[str, tuple["Field[Any]", Any]]:
    """Return the fields that a dataclass is made from, with their types."""
    hints = get_type_hints(wanted)
    return {each.name: (each, hints[each.name]) for each in fields(wanted) if each.init}


def _read_union(options: tuple[Any, ...], value: Any, path: str, kinds: Kinds) -> Any:
    if value is None and type(None) in options:
        return None
    rest = [option for option in options if option is not type(None)]
    if len(rest) == 1:
        return read(rest[0], value, path, kinds)
    by_kind = {kinds[option]: option for option in rest}
    kind = value.get("kind") if isinstance(value, dict) else None
    if not isinstance(kind, str) or kind not in by_kind:
        raise BadFileError(path, f"must be an object whose kind is one of {', '.join(by_kind)}.")
    return read_object(by_kind[kind], value, path, kinds)


def _read_tuple(options: tuple[Any, ...], value: Any, path: str, kinds: Kinds) -> tuple[Any, ...]:
    if not isinstance(value, list):
        raise BadFileError(path, f"must be a list, not {_shown(value)}.")
    if options[-1] is not ...:
        if len(value) != len(options):
            raise BadFileError(path, f"must have {len(options)} values, not {len(value)}.")
        return tuple(
            read(option, each, at(path, place), kinds)
            for place, (option, each) in enumerate(zip(options, value, strict=True))
        )
    return tuple(read(options[0], each, at(path, place), kinds) for place, each in enumerate(value))


def _read_plain(wanted: Any, value: Any, path: str) -> Any:
    if wanted is int:
        if type(value) is not int:
            raise BadFileError(path, f"must be a whole number, not {_shown(value)}.")
        check_most(value, path)
        return value
    if wanted is bool or wanted is str:
        if type(value) is not wanted:
            raise BadFileError(path, f"must be {_NAMES[wanted]}, not {_shown(value)}.")
        return value
    if not isinstance(value, str):
        raise BadFileError(path, f"must be text, not {_shown(value)}.")
    try:
        return wanted(value) if issubclass(wanted, Enum) else wanted.fromisoformat(value)
    except ValueError:
        options = ", ".join(each.value for each in wanted) if issubclass(wanted, Enum) else _NAMES[wanted]
        raise BadFileError(path, f"must be {options}, not {_shown(value)}.") from None


_NAMES = {
    bool: "true or false",
    str: "text",
    date: "a day such as 2026-12-24",
    time: "a time such as 06:30",
}


def _shown(value: Any) -> str:
    text = repr(value)
    return text if len(text) <= 40 else f"{text[:37]}..."
