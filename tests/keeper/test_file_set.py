"""A set of files is replaced as a whole: whoever reads the folder at any moment finds one, with every file it names."""

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.keeper import file_set
from app.keeper.file_names import plain_name, with_file_links
from app.keeper.file_set import PageFile, free_name, replace_set


def a_set(folder: Path, stamp: str, *names: str) -> str:
    name = free_name(folder, stamp)
    files = [PageFile(f"{each}.html", f"{each} of {stamp}") for each in names]
    replace_set(folder, name, files, "".join(f'<a href="{name}/{each.name}">' for each in files))
    return name


def shown(folder: Path) -> list[str]:
    """Read what the index leads to, as a reader would."""
    links = re.findall(r'href="([^"]+)"', (folder / "index.html").read_text())
    return [(folder / link).read_text() for link in links]


def test_the_new_set_takes_the_place_of_the_old_and_files_that_are_gone_are_gone(tmp_path):
    (tmp_path / "notes.txt").write_text("the owner's own")
    (tmp_path / "lotwright-plans").mkdir()
    a_set(tmp_path, "2026-01-07-0600", "a", "b")
    a_set(tmp_path, "2026-01-07-1400", "b")
    assert shown(tmp_path) == ["b of 2026-01-07-1400"]
    names = {each.name for each in tmp_path.iterdir()}
    assert names == {"notes.txt", "lotwright-plans", "index.html", "lotwright-2026-01-07-1400"}
    assert [each.name for each in (tmp_path / "lotwright-2026-01-07-1400").iterdir()] == ["b.html"]


def test_two_sets_of_one_minute_have_names_apart(tmp_path):
    assert a_set(tmp_path, "2026-01-07-0600", "a") == "lotwright-2026-01-07-0600"
    assert a_set(tmp_path, "2026-01-07-0600", "b") == "lotwright-2026-01-07-0600-2"
    assert shown(tmp_path) == ["b of 2026-01-07-0600"]


def test_at_every_moment_a_reader_finds_one_whole_set(tmp_path, monkeypatch):
    """Looks at the folder as each file is written and as each thing gets its place."""
    a_set(tmp_path, "2026-01-07-0600", "a", "b")
    seen = []
    for name in ("_write", "_put_in_place", "_drop_others"):
        step = getattr(file_set, name)

        def look(*arguments, step=step):
            seen.append(shown(tmp_path))
            step(*arguments)
            seen.append(shown(tmp_path))

        monkeypatch.setattr(file_set, name, look)
    a_set(tmp_path, "2026-01-07-1400", "a", "b")
    old, new = ([f"{each} of 2026-01-07-{time}" for each in "ab"] for time in ("0600", "1400"))
    assert seen == sorted(seen, key=lambda each: each == new)  # once it is the new one it stays so
    assert {tuple(each) for each in seen} == {tuple(old), tuple(new)}


@pytest.mark.parametrize("fails_at", ["_write", "_put_in_place"])
def test_what_fails_half_way_leaves_the_old_set_and_the_next_try_cleans_up(tmp_path, monkeypatch, fails_at):
    a_set(tmp_path, "2026-01-07-0600", "a")
    with monkeypatch.context() as broken:
        broken.setattr(file_set, fails_at, lambda *_arguments: (_ for _ in ()).throw(OSError(28, "No space left")))
        with pytest.raises(OSError, match="No space left"):
            a_set(tmp_path, "2026-01-07-1400", "a")
    assert shown(tmp_path) == ["a of 2026-01-07-0600"]
    assert not list(tmp_path.glob(".unfinished*"))
    a_set(tmp_path, "2026-01-07-1500", "a")
    assert {each.name for each in tmp_path.iterdir()} == {"index.html", "lotwright-2026-01-07-1500"}


def test_what_a_killed_writer_left_goes_with_the_next_set(tmp_path):
    (tmp_path / ".unfinished-lotwright-12ab").mkdir()
    (tmp_path / ".unfinished-lotwright-12ab" / "review.html").write_text("half")
    (tmp_path / ".unfinished-lotwright-12ab.html").write_text("half")
    a_set(tmp_path, "2026-01-07-0600", "a")
    assert not list(tmp_path.glob(".unfinished*"))


def test_an_index_that_is_being_read_is_replaced_a_moment_later(tmp_path, monkeypatch):
    """Windows refuses to replace a file that another program has open."""
    refusals = iter([True, True, False, True])
    replace = Path.replace

    def busy(self, target):
        if next(refusals, False):
            raise PermissionError(13, "used by another process")
        return replace(self, target)

    monkeypatch.setattr(file_set, "_BETWEEN_TRIES_S", 0)
    monkeypatch.setattr(Path, "replace", busy)
    a_set(tmp_path, "2026-01-07-0600", "a")
    assert shown(tmp_path) == ["a of 2026-01-07-0600"]


@given(st.text(max_size=80))
def test_a_name_is_one_that_windows_takes(text):
    """Windows refuses : and ?, control characters, and a point or blank at the end (Microsoft, Naming Files)."""
    assert re.fullmatch(r"([a-z0-9]+(-[a-z0-9]+)*)?", plain_name(text))
    assert len(plain_name(text)) <= 40


def test_names_are_plain():
    assert plain_name("Mühle 2 / 5-Achs: CON?") == "muhle-2-5-achs-con"
    assert plain_name("机床") == ""


def test_links_lead_to_files_or_are_only_words():
    page = '<a class="code" href="/lots/5">L</a> <a href="#late">x</a> <a href="/purchasing#to-order">Order</a>'
    assert with_file_links(page, {"/lots/5": "t.html"}) == (
        '<a class="code" href="t.html">L</a> <a href="#late">x</a> <a>Order</a>'
    )
