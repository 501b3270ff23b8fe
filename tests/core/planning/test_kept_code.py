"""Machine code of older kernels does not pile up beside that of these."""

import os

from app.core.planning.compiled import UNUSED_FOR_S, throw_away_older


def test_what_older_versions_left_is_thrown_away_unless_it_may_be_in_use(tmp_path):
    own, old, just_used = (tmp_path / (letter * 16) for letter in "abc")
    for folder in (own, old, just_used, tmp_path / "notes"):
        folder.mkdir()
        (folder / "kernel.nbc").write_bytes(b"code")
    os.utime(own, (10_000, 10_000))
    os.utime(just_used, (10_001 - UNUSED_FOR_S,) * 2)
    for folder in (old, tmp_path / "notes"):
        os.utime(folder, (9_999 - UNUSED_FOR_S,) * 2)
    throw_away_older(own)
    assert sorted(each.name for each in tmp_path.iterdir()) == [own.name, just_used.name, "notes"]
