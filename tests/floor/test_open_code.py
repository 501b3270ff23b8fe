"""Printed codes opened as links, and codes in photos."""

import builtins
import io

import pytest
import segno
import sqlalchemy as sa
from PIL import Image, ImageDraw

from app.core.scan_code import CodeKind, format_code
from app.floor.errors import NoPhotoReaderError
from app.floor.services import read_photo
from app.lots.models import Job, Posting
from app.lots.queries.names import lot_name, operation_code
from tests.factories.lots import make_lot, make_routing, station_of
from tests.factories.material import ReceiptFactory
from tests.floor.conftest import refusal, words


def picture(*codes: str, kind: str = "PNG") -> bytes:
    """Return a photo-like picture of QR codes."""
    sheet = Image.new("RGB", (900, 400 * len(codes)), "white")
    for place, code in enumerate(codes):
        buffer = io.BytesIO()
        segno.make(code, error="m").save(buffer, kind="png", scale=8, border=4)
        sheet.paste(Image.open(buffer).convert("RGB"), (40, 400 * place + 20))
    found = io.BytesIO()
    sheet.save(found, kind)
    return found.getvalue()


def upload(client, data: bytes, path="/floor/photo", **fields):
    files = {"photo": (io.BytesIO(data), "photo.jpg")}
    return client.post(path, data={**fields, **files}, content_type="multipart/form-data")


def test_each_link_opens_its_page_and_changes_nothing(session, client, lot, sam):
    receipt = ReceiptFactory()
    station = station_of(lot.operations[0])
    before = session.scalars(sa.select(sa.func.count(Posting.id))).one()
    for code, address in (
        (lot_name(lot), f"/lots/{lot.id}"),
        (format_code(CodeKind.RECEIPT, receipt.number), f"/receipts/{receipt.id}"),
        (format_code(CodeKind.STATION, station.number), f"/floor/stations/{station.id}"),
        (sam.badge_code, f"/floor/people/{sam.id}"),
    ):
        response = client.get(f"/c/{code}")
        assert (response.status_code, response.location) == (303, address)
    assert session.scalars(sa.select(sa.func.count(Posting.id))).one() == before


def test_an_operations_link_shows_it_with_its_stations(client, session, lot):
    operation = lot.operations[0]
    response = client.get(f"/c/{operation_code(operation).lower()}")
    assert response.status_code == 200
    assert "Step 1" in response.text
    assert f'href="/floor/stations/{station_of(operation).id}"' in response.text
    assert f'href="/lots/{lot.id}"' in response.text
    assert session.scalars(sa.select(Job)).all() == []


def test_an_operation_that_needs_no_station_leads_to_its_lot(client, session, shop):
    lot = make_lot(session, routing=make_routing(blanks=True))
    page = words(client.get(f"/c/{operation_code(lot.operations[0])}").text)
    assert "It is not done at a station" in page


@pytest.mark.parametrize(
    ("code", "sentence"),
    [
        ("L00001X", "L00001X is mistyped"),
        ("hello", "hello is not one of our codes"),
        ("L00417D", "There is no lot L00417D."),
    ],
)
def test_a_code_that_names_nothing_says_so(client, shop, lot, code, sentence):
    response = client.get(f"/c/{code}")
    assert response.status_code == 404
    assert sentence in words(response.text) or "mistyped" in response.text


def test_a_code_typed_on_the_list_of_stations_leads_to_its_link(client, lot):
    assert client.get(f"/floor/find?code=+{lot_name(lot)}+").location == f"/c/{lot_name(lot)}"
    for typed, told in (("", "No code was read"), ("Q7", "Q7 is not one of our codes")):
        answer = client.get(f"/floor/find?code={typed}")
        assert answer.status_code == 422
        assert told in answer.text
        assert f'value="{typed}"' in answer.text


@pytest.mark.parametrize("kind", ["PNG", "JPEG", "WEBP"])
def test_a_photo_of_a_code_opens_its_page(client, lot, kind):
    code = lot_name(lot)
    assert upload(client, picture(f"http://shop-pc:8080/c/{code}", kind=kind)).location == f"/c/{code}"


def test_a_photo_taken_at_a_station_is_a_scan_there(session, tablet, lot):
    data = picture(operation_code(lot.operations[0]))
    response = upload(tablet.client, data, f"{tablet.home}/photos", key="a-photo-of-a-code")
    session.rollback()
    assert response.location == tablet.home
    assert session.scalars(sa.select(Job.operation_id)).one() == lot.operations[0].id


def test_a_photo_at_a_station_without_a_badge_is_kept_like_any_scan(tablet_at, lot):
    tablet = tablet_at(station_of(lot.operations[0]))
    data = picture(operation_code(lot.operations[0]))
    response = upload(tablet.client, data, f"{tablet.home}/photos", key="a-photo-of-a-code")
    assert refusal(response).startswith("Scan your badge first")


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (b"", "This is no picture that can be opened. Send a photo as JPEG or PNG."),
        (b"%PDF-1.7 not a picture", "This is no picture that can be opened."),
        (picture("hello"), "One code was read, and it is none of ours."),
        (picture("L00001O", "L00002M"), "2 codes were read. Photograph one code alone, close up."),
        (b"\x89PNG\r\n\x1a\n", "This is no picture that can be opened."),
    ],
)
def test_what_cannot_be_read_is_said_beside_the_field(client, shop, lot, data, sentence):
    response = upload(client, data)
    assert response.status_code == 422
    assert sentence in words(response.text)


def test_a_photo_without_a_code_says_so(client, lot):
    buffer = io.BytesIO()
    sheet = Image.new("L", (400, 300), 200)
    ImageDraw.Draw(sheet).ellipse((50, 50, 200, 200), fill=30)
    sheet.save(buffer, "PNG")
    assert "No code can be read in this photo." in words(upload(client, buffer.getvalue()).text)


def test_a_picture_that_unfolds_to_too_much_is_not_opened(client, lot):
    buffer = io.BytesIO()
    Image.new("1", (9_000, 8_000)).save(buffer, "PNG")
    assert len(buffer.getvalue()) < 100_000
    assert "This is no picture that can be opened." in words(upload(client, buffer.getvalue()).text)


def test_where_the_library_is_missing_the_page_says_what_to_do_instead(monkeypatch, client, lot):
    real_import = builtins.__import__

    def without(name, *rest, **more):
        if name == "zxingcpp":
            raise ImportError(name)
        return real_import(name, *rest, **more)

    monkeypatch.setattr(builtins, "__import__", without)
    with pytest.raises(NoPhotoReaderError):
        read_photo(picture("L00001O"))
    response = upload(client, picture("L00001O"))
    assert response.status_code == 422
    assert "Type the code that stands beside the square." in words(response.text)


def test_both_photo_pages_ask_for_a_photo(tablet):
    for page in (tablet.client.get("/floor/photo"), tablet.get("/photos")):
        assert 'type="file"' in page.text
        assert 'capture="environment"' in page.text
