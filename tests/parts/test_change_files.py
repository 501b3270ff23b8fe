"""Drawings and set-up sheets of an operation."""

import hashlib
import io

import pytest
import sqlalchemy as sa

from app.parts.models import OperationFile, StoredFile
from app.parts.services import NewRouting, Upload, add_file, save_routing
from tests.parts.pictures import pdf, picture
from tests.parts.shop import milling
from tests.statements import counted


@pytest.fixture
def operation(session, keys, revision, now):
    return save_routing(session, revision.id, NewRouting((milling(keys),), 0), by=None, now=now).operations[0]


@pytest.fixture
def path(operation):
    return f"/parts/operations/{operation.id}/files"


def upload(data: bytes, name: str = "setup.png", title: str = "") -> dict:
    return {"file": (io.BytesIO(data), name), "title": title}


def shown(session) -> list[tuple[str, str]]:
    session.rollback()
    files = session.scalars(sa.select(OperationFile).order_by(OperationFile.position))
    return [(each.title, each.file.name) for each in files]


def stored_file(session) -> StoredFile:
    session.rollback()
    return session.scalars(sa.select(StoredFile)).one()


def keys_of_files(session) -> list[int]:
    session.rollback()
    return list(session.scalars(sa.select(OperationFile.id).order_by(OperationFile.position)))


def test_a_picture_is_shown_at_the_operation(as_setup_lead, client, session, path):
    data = picture("JPEG")
    response = as_setup_lead.post(path, data=upload(data, "photos/vise \x07set-up.jpg", title="Vise"))
    assert response.location == path
    assert shown(session) == [("Vise", "vise set-up.jpg")]
    file = stored_file(session)
    assert (file.sha256, file.media_type, file.data) == (hashlib.sha256(data).hexdigest(), "image/jpeg", data)
    page = as_setup_lead.get(path).text
    assert f"/files/{file.id}/pages/1.png?v={file.sha256[:12]}" in page
    assert "Vise, page 1 of 1" in page
    assert "1 file" in as_setup_lead.get("/parts/1").text
    assert client.get(f"/files/{file.id}/pages/1.png").status_code == 200


def test_a_name_with_the_folders_of_another_computer_loses_them(session, operation, now):
    add_file(session, operation.id, Upload("C:\\photos\\vise.png", picture()), now=now)
    assert shown(session) == [("vise.png", "vise.png")]


def test_pages_of_a_pdf_are_all_shown(as_owner, session, path):
    as_owner.post(path, data=upload(pdf(pages=3), "sheet.pdf"))
    assert shown(session) == [("sheet.pdf", "sheet.pdf")]
    assert as_owner.get(path).text.count("<img") == 3


def test_the_same_bytes_are_stored_once(as_owner, session, path):
    as_owner.post(path, data=upload(picture(), "a.png"))
    as_owner.post(path, data=upload(picture(), "b.png", title="Again"))
    assert stored_file(session).name == "a.png"
    assert shown(session) == [("a.png", "a.png"), ("Again", "a.png")]


@pytest.mark.parametrize(
    ("sent", "says"),
    [
        ({"title": "x"}, "Choose a picture or a PDF."),
        (upload(b"", "", "x"), "Choose a picture or a PDF."),
        (upload(b"hello", "note.txt", "x"), "“note.txt” is none of PNG, JPEG, WebP and PDF."),
        (upload(pdf(pages=41), "book.pdf", "x"), "It has 41 pages; at most 40 can be shown."),
        (upload(picture()[:50], "cut.png", "x"), "“cut.png” is damaged."),
        (upload(picture(), "a.png", "x" * 121), "Use 120 characters or fewer."),
    ],
)
def test_what_cannot_be_shown_is_refused_beside_the_field_and_nothing_is_stored(as_owner, session, path, sent, says):
    response = as_owner.post(path, data=sent)
    assert response.status_code == 422
    assert says in response.text
    assert f'value="{sent["title"]}"' in response.text
    assert session.scalars(sa.select(StoredFile)).all() == []


def test_a_file_too_large_to_be_taken_in_is_refused_beside_the_field(app, as_owner, session, path):
    app.config["MAX_CONTENT_LENGTH"] = 100
    response = as_owner.post(path, data=upload(picture(), "huge.png"))
    assert response.status_code == 422
    assert "It is larger than 20 MB. Save it smaller" in response.text
    assert shown(session) == []


def test_titles_order_and_removal(as_owner, session, path):
    for color in ("red", "blue", "green"):
        as_owner.post(path, data=upload(picture(color=color), f"{color}.png"))
    red, blue, green = keys_of_files(session)
    as_owner.post(f"/parts/operation-files/{green}", data={"up": "1"})
    assert [title for title, _ in shown(session)] == ["red.png", "green.png", "blue.png"]
    as_owner.post(f"/parts/operation-files/{red}", data={"down": "1"})
    as_owner.post(f"/parts/operation-files/{green}", data={"up": "1"})
    as_owner.post(f"/parts/operation-files/{blue}", data={"down": "1"})
    assert [title for title, _ in shown(session)] == ["green.png", "red.png", "blue.png"]
    response = as_owner.post(f"/parts/operation-files/{red}", data={f"file-{red}-title": "Vise"})
    assert response.location == path
    assert as_owner.post(f"/parts/operation-files/{green}/remove").location == path
    assert [title for title, _ in shown(session)] == ["Vise", "blue.png"]
    assert as_owner.post(f"/parts/operation-files/{green}/remove").status_code == 404


@pytest.mark.parametrize("title", ["", "x" * 121])
def test_a_title_that_is_no_title_is_refused_beside_its_own_field(as_owner, session, path, title):
    as_owner.post(path, data=upload(picture(color="red"), "red.png"))
    as_owner.post(path, data=upload(picture(color="blue"), "blue.png"))
    red = keys_of_files(session)[0]
    response = as_owner.post(f"/parts/operation-files/{red}", data={f"file-{red}-title": title})
    assert response.status_code == 422
    assert response.text.count("Enter a title of up to 120 characters.") == 1
    assert 'value="blue.png"' in response.text
    assert [title for title, _ in shown(session)] == ["red.png", "blue.png"]


def test_files_of_an_earlier_version_stay_as_they_were(as_owner, session, keys, operation, path, now):
    as_owner.post(path, data=upload(picture(), "a.png"))
    file = keys_of_files(session)[0]
    new = NewRouting((milling(keys, title="Faster", source_id=operation.id),), 1)
    save_routing(session, operation.routing.revision_id, new, by=None, now=now)
    for address, data in ((path, upload(picture(color="red"))), (f"/parts/operation-files/{file}/remove", {})):
        response = as_owner.post(address, data=data)
        assert response.status_code == 409
        assert "earlier version of the routing, which stays as it was" in response.text
    assert as_owner.post(f"/parts/operation-files/{file}", data={"up": "1"}).status_code == 409
    assert as_owner.post(f"/parts/operation-files/{file}", data={f"file-{file}-title": "x"}).status_code == 409
    assert "Add a drawing" not in as_owner.get(path).text
    assert len(shown(session)) == 2


def test_pictures_are_kept_by_browsers_for_good_only_under_their_content(as_operator, session, path, as_owner):
    as_owner.post(path, data=upload(pdf(), "sheet.pdf"))
    file = stored_file(session)
    address = f"/files/{file.id}/pages/1.png"
    lasting = as_operator.get(f"{address}?v={file.sha256[:12]}")
    assert lasting.headers["Content-Type"] == "image/png"
    assert "max-age=31536000" in lasting.headers["Cache-Control"]
    assert "immutable" in lasting.headers["Cache-Control"]
    assert lasting.headers["X-Content-Type-Options"] == "nosniff"
    for other in (address, f"{address}?v=000000000000", f"{address}?v="):
        asked_again = as_operator.get(other)
        assert "max-age=31536000" not in asked_again.headers["Cache-Control"]
        assert "immutable" not in asked_again.headers["Cache-Control"]
    unchanged = as_operator.get(address, headers={"If-None-Match": lasting.headers["ETag"]})
    assert unchanged.status_code == 304
    assert unchanged.data == b""


def test_the_original_downloads_as_it_was_uploaded(as_operator, as_owner, client, session, path):
    data = pdf()
    as_owner.post(path, data=upload(data, "Blatt “5”.pdf"))
    file = stored_file(session)
    response = as_operator.get(f"/files/{file.id}/original")
    assert response.data == data
    assert response.headers["Content-Type"] == "application/pdf"
    assert response.headers["Content-Disposition"].startswith("attachment;")
    assert "UTF-8''Blatt%20%E2%80%9C5%E2%80%9D.pdf" in response.headers["Content-Disposition"]
    assert client.get(f"/files/{file.id}/original").status_code == 303


def test_what_is_not_there_is_said_so(as_owner, client):
    assert client.get("/files/9/pages/1.png").status_code == 404
    assert as_owner.get("/files/9/original").status_code == 404
    assert as_owner.get("/parts/operations/9/files").status_code == 404
    assert as_owner.post("/parts/operations/9/files", data=upload(picture())).status_code == 404
    assert as_owner.post("/parts/operation-files/9", data={"up": "1"}).status_code == 404


def test_operators_look_but_do_not_change(as_operator, session, path):
    assert as_operator.get(path).status_code == 200
    assert as_operator.post(path, data=upload(picture())).status_code == 403
    assert as_operator.post("/parts/operation-files/1", data={"up": "1"}).status_code == 403
    assert as_operator.post("/parts/operation-files/1/remove").status_code == 403
    assert shown(session) == []


def test_the_page_takes_the_same_statements_for_one_file_and_for_ten(as_owner, session, engine, path):
    def statements() -> int:
        with counted(engine) as sent:
            as_owner.get(path)
        return len(sent)

    as_owner.post(path, data=upload(picture(), "a.png"))
    few = statements()
    for shade in range(9):
        as_owner.post(path, data=upload(picture(color=(shade, 0, 0)), f"{shade}.png"))
    assert statements() == few
