"""Uploaded drawings and set-up sheets become plain pictures that any tablet shows.

A picture is drawn anew, so that nothing of the upload but its look reaches a station. The libraries are optional.
"""

import io
import threading
from dataclasses import dataclass
from types import ModuleType
from typing import Any

from app.parts.errors import (
    FileReaderMissingError,
    FileTooLargeError,
    LockedFileError,
    TooManyPagesError,
    UnreadableFileError,
)
from app.shared.words import gettext

LARGEST_FILE = 20 * 1024 * 1024
LARGEST_PICTURE = 64_000_000
"""Pixels of an uploaded picture: some 190 MB while it is drawn anew."""
LARGEST_PAGES = 64 * 1024 * 1024
MOST_PAGES = 40
WIDTH = 1600
WIDEST = 3200
TALLEST = 6400
DOTS_PER_INCH = 130
PICTURE_TYPES = {"PNG": "image/png", "JPEG": "image/jpeg", "WEBP": "image/webp"}

_one_pdf_at_a_time = threading.Lock()
"""PDFium is not safe to use from several threads."""


@dataclass(frozen=True, slots=True)
class Picture:
    """One page as PNG; width and height in pixels."""

    width: int
    height: int
    png: bytes


@dataclass(frozen=True, slots=True)
class Document:
    """What a file turned out to be, and its pages."""

    media_type: str
    pages: tuple[Picture, ...]


def read_document(data: bytes, name: str) -> Document:
    """Return the pages of a PNG, JPEG, WebP or PDF file; the kind is told by the content, not by ``name``.

    Pages are 1600 pixels wide, those of large drawings up to 3200.

    Raises:
        FileRefusedError: one of its kinds: too large, damaged, of another kind, locked, or its reader is missing.
    """
    if len(data) > LARGEST_FILE:
        raise FileTooLargeError(gettext("20 MB"))
    if b"%PDF-" in data[:1024]:
        return Document("application/pdf", _pdf_pages(data, name))
    return _picture_document(data, name)


def _picture_document(data: bytes, name: str) -> Document:
    pillow = _pillow(gettext("Picture"))
    too_many = (pillow.Image.DecompressionBombError, pillow.Image.DecompressionBombWarning)
    try:
        with pillow.Image.open(io.BytesIO(data), formats=tuple(PICTURE_TYPES)) as picture:
            if picture.width * picture.height > LARGEST_PICTURE:
                raise FileTooLargeError(gettext("64 megapixels"))
            media_type = PICTURE_TYPES[picture.format]
            return Document(media_type, (_png(pillow, _upright(pillow, picture)),))
    except too_many as error:
        raise FileTooLargeError(gettext("64 megapixels")) from error
    except pillow.UnidentifiedImageError as error:
        raise UnreadableFileError(name, damaged=False) from error
    except (OSError, ValueError, SyntaxError, EOFError, IndexError, TypeError) as error:
        raise UnreadableFileError(name, damaged=True) from error


def _upright(pillow: ModuleType, picture: Any) -> Any:
    """Return the picture the right way up, on white where it is see-through, at most 1600 wide."""
    if picture.width > 2 * WIDTH:
        picture.draft("RGB", (WIDTH, TALLEST))
    upright = pillow.ImageOps.exif_transpose(picture)
    if "A" in upright.getbands() or "transparency" in upright.info:
        seen = upright.convert("RGBA")
        upright = pillow.Image.new("RGBA", seen.size, "white")
        upright.alpha_composite(seen)
    plain = upright.convert("L" if upright.mode in {"1", "L"} else "RGB")
    plain.thumbnail((WIDTH, TALLEST), reducing_gap=3.0)
    return plain


def _png(pillow: ModuleType, picture: Any) -> Picture:
    bare = pillow.Image.frombytes(picture.mode, picture.size, picture.tobytes())
    file = io.BytesIO()
    bare.save(file, "PNG", compress_level=6)
    return Picture(bare.width, bare.height, file.getvalue())


def _pillow(kind: str) -> ModuleType:
    try:
        import PIL.Image  # noqa: PLC0415 - optional
        import PIL.ImageOps  # noqa: PLC0415 - optional
    except ImportError as error:
        raise FileReaderMissingError(kind, "Pillow") from error
    return PIL


def _pdf_pages(data: bytes, name: str) -> tuple[Picture, ...]:
    pillow = _pillow("PDF")
    try:
        import pypdfium2  # noqa: PLC0415 - optional
    except ImportError as error:
        raise FileReaderMissingError("PDF", "pypdfium2") from error
    with _one_pdf_at_a_time:
        try:
            return _drawn_pages(pillow, pypdfium2, data)
        except pypdfium2.PdfiumError as error:
            if "password" in str(error).lower():
                raise LockedFileError(name) from error
            raise UnreadableFileError(name, damaged=True) from error


def _drawn_pages(pillow: ModuleType, pypdfium2: ModuleType, data: bytes) -> tuple[Picture, ...]:
    pdf = pypdfium2.PdfDocument(data)
    try:
        if not len(pdf):
            raise pypdfium2.PdfiumError("no pages")
        if len(pdf) > MOST_PAGES:
            raise TooManyPagesError(len(pdf), MOST_PAGES)
        pictures: list[Picture] = []
        for page in pdf:
            scale = _scale(*page.get_size())
            pictures.append(_png(pillow, page.render(scale=scale, rev_byteorder=True).to_pil().convert("RGB")))
            if sum(len(picture.png) for picture in pictures) > LARGEST_PAGES:
                raise FileTooLargeError(gettext("64 MB once its pages are pictures"))
        return tuple(pictures)
    finally:
        pdf.close()


def _scale(width: float, height: float) -> float:
    """Return pixels per point, so that a page is wide enough to read and never larger than a station can take."""
    pixels = min(max(width / 72 * DOTS_PER_INCH, WIDTH), WIDEST)
    return min(pixels / max(width, 1), TALLEST / max(height, 1))
