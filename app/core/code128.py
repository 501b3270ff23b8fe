"""Code 128 bar code symbols (ISO/IEC 15417) as numbers and as SVG.

Sets B and C, or A and C where a caller starts in set A; the shortest symbol is chosen.
"""

from html import escape
from itertools import accumulate
from typing import Literal, TypeAlias

CodeSet: TypeAlias = Literal["A", "B", "C"]

QUIET_ZONE = 10
"""Modules that stay white on either side (ISO/IEC 15417)."""

_START = {"A": 103, "B": 104, "C": 105}
_SWITCH_TO = {"A": 101, "B": 100, "C": 99}
_LETTERS_END = {"A": "_", "B": "\x7f"}
_STOP = 106

# Widths in modules of bar, space, bar, ... for the symbol values 0 to 106 (ISO/IEC 15417, table of symbol characters).
_WIDTHS = """
212222 222122 222221 121223 121322 131222 122213 122312 132212 221213 221312 231212 112232 122132 122231 113222
123122 123221 223211 221132 221231 213212 223112 312131 311222 321122 321221 312212 322112 322211 212123 212321
232121 111323 131123 131321 112313 132113 132311 211313 231113 231311 112133 112331 132131 113123 113321 133121
313121 211331 231131 213113 213311 213131 311123 311321 331121 312113 312311 332111 314111 221411 431111 111224
111422 121124 121421 141122 141221 112214 112412 122114 122411 142112 142211 241211 221114 413111 241112 134111
111242 121142 121241 114212 124112 124211 411212 421112 421211 212141 214121 412121 111143 111341 131141 114113
114311 411113 411311 113141 114131 311141 411131 211412 211214 211232 2331112
""".split()  # noqa: SIM905 - a literal list would take a hundred lines


def symbol_values(text: str, start: CodeSet | None = None) -> tuple[int, ...]:
    """Return the values of start, data and check character; the stop character is not among them.

    The check is (start + sum of position times value) mod 103.

    Args:
        text: printable ASCII; without small letters where the symbol starts in set A.
        start: the set to start in; by default whichever of B and C gives the shorter symbol.

    Raises:
        ValueError: ``text`` is empty or has a character that cannot be encoded.
    """
    letters: CodeSet = "A" if start == "A" else "B"
    for character in text:
        if not " " <= character <= _LETTERS_END[letters]:
            raise ValueError(f"A bar code cannot carry {character!r}: use A-Z, 0-9 and '-'.")
    if not text:
        raise ValueError("A bar code needs at least one character.")
    tails = _shortest_tails(text, letters)
    # min keeps the first of equals: a symbol is not changed to set C for nothing
    data = min(((_START[each], *tails[each]) for each in ([start] if start else [letters, "C"])), key=len)
    check = (data[0] + sum(position * value for position, value in enumerate(data))) % 103
    return (*data, check)


def module_widths(text: str, start: CodeSet | None = None) -> tuple[int, ...]:
    """Return the widths in modules of bar, space, bar, ... from the start to the stop character, without quiet zones.

    Raises:
        ValueError: as ``symbol_values``.
    """
    return tuple(int(width) for value in (*symbol_values(text, start), _STOP) for width in _WIDTHS[value])


def svg(text: str, module_mm: float = 0.375, height_mm: float = 13) -> str:
    """Return the symbol with its quiet zones as one standalone ``<svg>``, black on white.

    A label printer draws whole dots: give it a module of ``n * 25.4 / dpi`` mm. The default is 3 dots at 203 dpi
    (8 dots a millimetre), and coarse enough for an office printer to round its edges to whole dots by itself.
    Nothing asks for crisp edges, which would make a browser move edges before the printer rounds them.

    Raises:
        ValueError: as ``symbol_values``, or a measure is not above 0.
    """
    if not (module_mm > 0 and height_mm > 0):
        raise ValueError("The module width and the height of a bar code must be above 0 mm.")
    widths = module_widths(text)
    edges = list(accumulate(widths, initial=QUIET_ZONE))
    modules = edges[-1] + QUIET_ZONE
    bars = "".join(
        f'<rect x="{edge}" width="{width}" height="1"/>' for edge, width in zip(edges[:-1:2], widths[::2], strict=True)
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" width="{modules * module_mm:.6g}mm" '
        f'height="{height_mm:.6g}mm" viewBox="0 0 {modules} 1" preserveAspectRatio="none"><title>{escape(text)}</title>'
        f'<rect width="{modules}" height="1" fill="#fff"/><g fill="#000">{bars}</g></svg>'
    )


def _shortest_tails(text: str, letters: CodeSet) -> dict[CodeSet, tuple[int, ...]]:
    """Return the fewest data values for the text when the symbol is in ``letters`` and when it is in set C."""
    tails: list[dict[CodeSet, tuple[int, ...]]] = [{letters: (), "C": ()}]
    for place in reversed(range(len(text))):
        value = ord(text[place]) - 32
        stay = (value, *tails[-1][letters])
        best: dict[CodeSet, tuple[int, ...]] = {letters: stay, "C": (_SWITCH_TO[letters], *stay)}
        pair = text[place : place + 2]
        if len(pair) == 2 and pair.isdigit():
            in_pairs = (int(pair), *tails[-2]["C"])
            best[letters] = min(stay, (_SWITCH_TO["C"], *in_pairs), key=len)
            best["C"] = min(in_pairs, best["C"], key=len)
        tails.append(best)
    return tails[-1]
