"""Uploads become plain pictures, or a sentence that says why not."""

import io
import sys

import pypdfium2
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from app.parts.errors import FileRefusedError
from app.parts.services import pictures
from app.parts.services.pictures import read_document
from tests.parts.pictures import claimed_size, pdf, picture


def opened(page) -> Image.Image:
    made = Image.open(io.BytesIO(page.png))
    assert made.format == "PNG"
    assert made.size == (page.width, page.height)
    return made


@pytest.mark.parametrize(("kind", "media_type"), [("PNG", "image/png"), ("JPEG", "image/jpeg"), ("WEBP", "image/webp")])
def test_a_picture_becomes_one_page(kind, media_type):
    document = read_document(picture(kind), "setup")
    assert document.media_type == media_type
    assert [(page.width, page.height) for page in document.pages] == [(40, 30)]
    assert opened(document.pages[0]).convert("RGB").getpixel((5, 5)) == pytest.approx((0, 0, 128), abs=6)


def test_a_large_picture_is_made_as_wide_as_a_station_shows():
    page = read_document(picture("JPEG", (4000, 3000)), "photo.jpg").pages[0]
    assert (page.width, page.height) == (1600, 1200)


def test_a_photo_is_turned_the_right_way_up():
    exif = Image.Exif()
    exif[274] = 6  # taken with the phone on its side
    page = read_document(picture("JPEG", (40, 30), exif=exif), "photo.jpg").pages[0]
    assert (page.width, page.height) == (30, 40)


def test_nothing_but_its_look_is_kept_of_a_picture():
    exif = Image.Exif()
    exif[315] = "somebody's name"
    page = read_document(picture("JPEG", exif=exif), "photo.jpg").pages[0]
    assert b"somebody" not in page.png
    assert not Image.open(io.BytesIO(page.png)).info


def test_what_is_see_through_stands_on_white():
    page = read_document(picture("PNG", mode="RGBA", color=(0, 0, 0, 0)), "logo.png").pages[0]
    assert opened(page).getpixel((5, 5)) == (255, 255, 255)


def test_pages_of_a_pdf_are_drawn_wide_enough_to_read():
    document = read_document(pdf(pages=3), "sheet.pdf")
    assert document.media_type == "application/pdf"
    assert [(page.width, page.height) for page in document.pages] == [(1600, 2071)] * 3
    made = opened(document.pages[0])
    assert made.getpixel((20, 2050)) == (0, 0, 0)
    assert made.getpixel((800, 1000)) == (255, 255, 255)


@pytest.mark.parametrize(
    ("inches", "pixels"),
    [((34, 22), (3200, 2071)), ((17, 11), (2210, 1430)), ((1, 200), (32, 6400)), ((0.1, 0.1), (1600, 1600))],
)
def test_a_large_drawing_is_drawn_larger_and_never_without_bound(inches, pixels):
    page = read_document(pdf(width=inches[0] * 72, height=inches[1] * 72), "drawing.pdf").pages[0]
    assert (page.width, page.height) == pytest.approx(pixels, abs=2)


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "none of PNG, JPEG, WebP and PDF"),
        (b"hello", "none of PNG, JPEG, WebP and PDF"),
        (picture("GIF"), "none of PNG, JPEG, WebP and PDF"),
        (picture("BMP"), "none of PNG, JPEG, WebP and PDF"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "none of PNG, JPEG, WebP and PDF"),
        (picture()[:60], "is damaged"),
        (picture("JPEG", (400, 300))[:400], "is damaged"),
        (b"%PDF-1.4 and no more", "is damaged"),
        (pdf(pages=41), "It has 41 pages; at most 40 can be shown."),
        (claimed_size(9000, 9000), "larger than 64 megapixels"),
        (claimed_size(60_000, 60_000), "larger than 64 megapixels"),
        (b"x" * (20 * 1024 * 1024 + 1), "larger than 20 MB"),
    ],
)
def test_what_cannot_be_shown_is_refused_with_what_to_do(data, says):
    with pytest.raises(FileRefusedError, match=says):
        read_document(data, "upload")


def test_forty_pages_are_not_too_many():
    assert len(read_document(pdf(pages=40, width=72, height=7.2), "sheet.pdf").pages) == 40


def test_a_pdf_whose_pages_come_to_too_much_is_refused(monkeypatch):
    monkeypatch.setattr(pictures, "LARGEST_PAGES", 10_000)
    with pytest.raises(FileRefusedError, match="larger than 64 MB once its pages are pictures"):
        read_document(pdf(pages=3), "sheet.pdf")


def test_a_locked_pdf_is_told_from_a_damaged_one(monkeypatch):
    def locked(_data):
        raise pypdfium2.PdfiumError("Failed to load document (PDFium: Incorrect password error).")

    monkeypatch.setattr(pypdfium2, "PdfDocument", locked)
    with pytest.raises(FileRefusedError, match="locked with a password"):
        read_document(pdf(), "sheet.pdf")


@pytest.mark.parametrize(
    ("missing", "data", "says"),
    [
        ("PIL.Image", picture(), "Picture files cannot be read on this computer: Pillow is not installed."),
        ("pypdfium2", pdf(), "PDF files cannot be read on this computer: pypdfium2 is not installed."),
    ],
)
def test_a_missing_library_is_named(monkeypatch, missing, data, says):
    monkeypatch.setitem(sys.modules, missing, None)
    with pytest.raises(FileRefusedError, match=says):
        read_document(data, "upload")


@given(
    st.sampled_from([picture(), picture("JPEG"), picture("WEBP"), pdf()]), st.integers(0, 600), st.binary(max_size=6)
)
def test_a_damaged_file_is_shown_or_refused_in_words(data, at, junk):
    try:
        assert read_document(data[:at] + junk + data[at + len(junk) :], "upload").pages
    except FileRefusedError as error:
        assert str(error)  # noqa: PT017 - either outcome is right, another kind of error is not
