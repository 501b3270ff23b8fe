"""Invented drawings: pictures and PDFs made on the spot."""

import io
import zlib

from PIL import Image


def picture(kind: str = "PNG", size: tuple[int, int] = (40, 30), mode: str = "RGB", color="navy", **options) -> bytes:
    file = io.BytesIO()
    Image.new(mode, size, color).save(file, kind, **options)
    return file.getvalue()


def claimed_size(width: int, height: int) -> bytes:
    """Return a PNG whose head claims a size that its few bytes cannot hold."""
    head = b"IHDR" + width.to_bytes(4, "big") + height.to_bytes(4, "big") + b"\x08\x02\x00\x00\x00"
    data = picture()
    return data[:12] + head + zlib.crc32(head).to_bytes(4, "big") + data[33:]


def pdf(pages: int = 1, width: float = 612, height: float = 792) -> bytes:
    """Return a PDF of pages with a black square in a corner."""
    objects = [b"<</Type/Catalog/Pages 2 0 R>>"]
    kids = b" ".join(b"%d 0 R" % (3 + 2 * page) for page in range(pages))
    objects.append(b"<</Type/Pages/Kids[%s]/Count %d>>" % (kids, pages))
    for page in range(pages):
        size = f"[0 0 {width} {height}]".encode()
        objects.append(b"<</Type/Page/Parent 2 0 R/MediaBox%s/Contents %d 0 R>>" % (size, 4 + 2 * page))
        objects.append(b"<</Length 19>>stream\n0 g 0 0 72 72 re f\n\nendstream")
    body = b"%PDF-1.4\n"
    places = []
    for number, content in enumerate(objects, start=1):
        places.append(len(body))
        body += b"%d 0 obj%s endobj\n" % (number, content)
    table = b"".join(b"%010d 00000 n \n" % place for place in places)
    count = len(objects) + 1
    end = b"xref\n0 %d\n0000000000 65535 f \n%strailer<</Size %d/Root 1 0 R>>\nstartxref\n%d\n%%%%EOF"
    return body + end % (count, table, count, len(body))
