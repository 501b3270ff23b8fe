"""Reading a code from a photo that a phone sent."""

import io
import warnings
from typing import Any

from app.core.scan_code import CodeError, parse_code
from app.floor.errors import NoCodeInPhotoError, NoPhotoReaderError, NoPictureError

MOST_PIXELS = 60_000_000
"""More than phones take; a picture that unfolds to more is not opened."""

LONGEST_SIDE = 2_400
PICTURES = ("JPEG", "PNG", "WEBP")


def read_photo(data: bytes) -> str:
    """Return the one code of ours in a photo.

    Raises:
        NoPhotoReaderError: the library for it is not installed.
        NoPictureError: it cannot be opened as a picture.
        NoCodeInPhotoError: it shows none of our codes, or several.
    """
    try:
        import zxingcpp  # noqa: PLC0415 - an extra that may be missing
        from PIL import Image  # noqa: PLC0415 - comes with the extra
    except ImportError as missing:
        raise NoPhotoReaderError from missing
    formats = zxingcpp.BarcodeFormats([zxingcpp.BarcodeFormat.QRCode, zxingcpp.BarcodeFormat.Code128])
    found = zxingcpp.read_barcodes(_opened(Image, data), formats=formats)
    codes = {code for code in (_ours(each.text) for each in found) if code}
    if len(codes) != 1:
        raise NoCodeInPhotoError(len(codes) or len(found))
    return codes.pop()


def _opened(images: Any, data: bytes) -> Any:
    """Return the picture in grey, upright and small enough to read quickly."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", images.DecompressionBombWarning)
            picture = images.open(io.BytesIO(data), formats=PICTURES)
            if picture.width * picture.height > MOST_PIXELS:
                raise NoPictureError
            picture.draft("L", (LONGEST_SIDE, LONGEST_SIDE))
            picture.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
            return picture.convert("L")
    except (OSError, ValueError, SyntaxError, images.DecompressionBombError, images.DecompressionBombWarning) as error:
        raise NoPictureError from error


def _ours(text: str) -> str:
    try:
        return str(parse_code(text))
    except CodeError:
        return ""
