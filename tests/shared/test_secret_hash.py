"""Hashes of passwords and PINs."""

import hashlib

from app.shared.secret_hash import hash_of, matches


def test_a_secret_matches_its_own_hash_only():
    kept = hash_of("four plain words")
    assert "four plain words" not in kept
    assert matches(kept, "four plain words")
    assert not matches(kept, "four plain word")


def test_the_same_secret_has_another_hash_each_time():
    assert hash_of("7305") != hash_of("7305")


def test_nothing_kept_matches_nothing():
    assert not matches("", "")
    assert not matches("", "x")


def test_checking_where_nothing_is_kept_takes_the_same_work(monkeypatch):
    """The work is what scrypt is asked for: rounds, block size, parallel runs."""
    work = []
    scrypt = hashlib.scrypt
    monkeypatch.setattr(hashlib, "scrypt", lambda *a, **k: work.append((k["n"], k["r"], k["p"])) or scrypt(*a, **k))
    matches(hash_of("7305"), "7305")
    matches("", "7305")
    assert len(set(work)) == 1
    assert len(work) == 3
