"""The check character that makes a mistyped code recognisable: ISO 7064, pure system MOD 37-2.

Chosen because it finds every single wrong character and every swap of two neighbours; systems whose check character
stays within 0-9A-Z miss some swaps.
"""

ALPHABET = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ*"
"""The characters in order of their values; ``*`` can only be a check character."""

_MODULUS = len(ALPHABET)


def check_character(text: str) -> str:
    """Return the character to put behind ``text``, one of 0-9, A-Z and ``*``.

    Source: ISO/IEC 7064, pure system recursive method with modulus 37 and radix 2.

    Raises:
        ValueError: ``text`` is empty or has a character other than 0-9 and A-Z.
    """
    if not text or not _has_only(ALPHABET[:-1], text):
        raise ValueError(f"A check character is made for 0-9 and A-Z only, not for {text!r}.")
    return ALPHABET[(1 - 2 * _remainder(text)) % _MODULUS]


def is_valid(text: str) -> bool:
    """Tell whether the last character of ``text`` is the check character of the ones before it."""
    return len(text) > 1 and _has_only(ALPHABET[:-1], text[:-1]) and text[-1] == check_character(text[:-1])


def _has_only(allowed: str, text: str) -> bool:
    return all(character in allowed for character in text)


def _remainder(text: str) -> int:
    remainder = 0
    for character in text:
        remainder = (2 * remainder + ALPHABET.index(character)) % _MODULUS
    return remainder
