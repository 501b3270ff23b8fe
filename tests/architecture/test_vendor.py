"""Vendored libraries are the files their registry gave out, and each is named with its version and licence."""

import hashlib
import re
import tomllib
from pathlib import Path

import pytest

VENDOR = Path(__file__).parents[2] / "static" / "vendor"
LIBRARIES = tomllib.loads((VENDOR / "vendor.toml").read_text(encoding="utf-8"))["library"]


@pytest.mark.parametrize("library", LIBRARIES, ids=lambda library: library["name"])
def test_every_file_of_a_library_has_the_hash_it_was_vendored_with(library):
    for name, expected in library["sha256"].items():
        assert hashlib.sha256((VENDOR / name).read_bytes()).hexdigest() == expected, name


@pytest.mark.parametrize("library", LIBRARIES, ids=lambda library: library["name"])
def test_a_library_says_where_it_is_from_and_under_which_licence(library):
    assert library["version"] in library["from"]
    assert re.fullmatch(r"sha512-[A-Za-z0-9+/]{86}==", library["integrity"])
    assert library["licence"]
    assert any(Path(name).name == "LICENSE" for name in library["sha256"])


def test_nothing_lies_in_the_folder_that_is_not_listed():
    listed = {name for library in LIBRARIES for name in library["sha256"]}
    present = {file.relative_to(VENDOR).as_posix() for file in VENDOR.rglob("*") if file.is_file()}
    assert present - {"vendor.toml"} == listed
