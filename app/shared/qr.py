"""QR code symbols (ISO/IEC 18004) as SVG, for cameras of phones and tablets."""

import segno

MODULE_MM = 0.5
"""Width of a module: 0.25 mm is the least that reads at 203 dpi, and grease needs twice that (measured by us)."""


def qr_svg(text: str, module_mm: float = MODULE_MM) -> str:
    """Return ``text`` as a QR code with error correction level M and its quiet zone, as one ``<svg>``, black on white.

    Nothing asks for crisp edges: a browser's PDF would move the edges of small modules and make them unreadable.

    Raises:
        ValueError: ``text`` is empty or longer than a symbol holds.
    """
    if not text:
        raise ValueError("A QR code needs at least one character.")
    symbol = segno.make_qr(text, error="m", boost_error=False)
    return str(symbol.svg_inline(scale=module_mm, unit="mm", dark="#000", light="#fff", title=text, omitsize=False))
