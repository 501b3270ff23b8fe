"""Hashes of passwords and PINs: scrypt with a salt of its own for each."""

from werkzeug.security import check_password_hash, generate_password_hash

# As costly to check as a real one, and no secret has it.
_NOBODYS = f"scrypt:32768:8:1$x${'0' * 128}"


def hash_of(secret: str) -> str:
    """Return the hash to keep of a password or PIN."""
    return generate_password_hash(secret)


def matches(kept: str, typed: str) -> bool:
    """Say whether ``typed`` is the secret whose hash was ``kept``.

    With nothing kept nothing matches, after the same work: how long it takes tells nobody whether there is a secret.
    """
    return check_password_hash(kept or _NOBODYS, typed)
