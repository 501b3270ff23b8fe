"""Importing on pages: choose a table, see what it would do, confirm."""

import io
import re

import openpyxl
import pytest
import sqlalchemy as sa

from app.parts.models import Part
from app.parts.services import COLUMNS
from app.shared.sheets import csv_file
from tests.factories.parts import PartFactory, RevisionFactory
from tests.factories.stations import WorkCenterFactory
from tests.parts.pictures import picture

HEADINGS = ["Part number", "Part name", "Revision", "Operation", "Kind", "Work center", "Cycle time"]
ROWS = [["HB-1", "Hinge <1>", "A", "20", "Milling", "Mills", "1:30"], ["", "", "", "30", "Milling", "Mills", "45"]]


def choose(client, data: bytes, name: str = "parts.csv"):
    return client.post("/parts/import", data={"file": (io.BytesIO(data), name)})


def kept_table(page: str) -> str:
    found = re.search(r'name="table" value="([^"]+)"', page)
    assert found
    return found[1]


def part_numbers(session) -> list[str]:
    session.rollback()
    return list(session.scalars(sa.select(Part.number).order_by(Part.number)))


def test_a_table_is_previewed_and_then_stored(as_setup_lead, session, keys):
    preview = choose(as_setup_lead, csv_file(HEADINGS, ROWS))
    assert preview.status_code == 200
    assert "1 revision in the table; no cell is wrong. Nothing is stored yet." in preview.text
    assert "Hinge &lt;1&gt;" in preview.text
    assert "New part, 2 operations" in preview.text
    assert part_numbers(session) == []
    done = as_setup_lead.post("/parts/import/confirm", data={"table": kept_table(preview.text)})
    assert done.status_code == 303
    assert part_numbers(session) == ["HB-1"]
    assert "1 revision of the table is stored." in as_setup_lead.get(done.location).text


def test_a_workbook_is_read_as_well(as_owner, session, keys):
    book = openpyxl.Workbook()
    for row in (HEADINGS, [*ROWS[0][:3], 20, *ROWS[0][4:]]):
        book.worksheets[0].append(row)
    file = io.BytesIO()
    book.save(file)
    preview = choose(as_owner, file.getvalue(), "parts.xlsx")
    as_owner.post("/parts/import/confirm", data={"table": kept_table(preview.text)})
    assert part_numbers(session) == ["HB-1"]


def test_bad_cells_are_named_and_there_is_nothing_to_confirm(as_owner, session, keys):
    rows = [[*ROWS[0][:4], "Magic", "Mills", "1.5"]]
    page = choose(as_owner, csv_file(HEADINGS, rows)).text
    assert "2 cells are wrong, so nothing was stored." in page
    assert "“Magic” is not known. Known are: Anodizing, Milling, Ordering blanks, Tumbling." in page
    assert "Say which unit" in page
    assert 'name="table"' not in page


@pytest.mark.parametrize(
    ("data", "name", "says"),
    [
        (b"", "", "Choose a .csv or .xlsx file."),
        (b"", "parts.csv", "The file is empty."),
        (picture(), "parts.csv", "“parts.csv” is neither a .csv nor an .xlsx file."),
        (b"PK\x03\x04", "parts.xlsx", "The file is damaged."),
        (b'Part number,Revision\n"A,B', "parts.csv", "quote mark out of place"),
    ],
)
def test_what_is_no_table_is_refused_beside_the_field(as_owner, data, name, says):
    response = choose(as_owner, data, name)
    assert response.status_code == 422
    assert says in response.text
    assert "How the table is read" in response.text


def test_a_file_too_large_to_be_taken_in_is_refused_beside_the_field(app, as_owner):
    app.config["MAX_CONTENT_LENGTH"] = 100
    response = choose(as_owner, csv_file(HEADINGS, ROWS))
    assert response.status_code == 422
    assert "The file is larger than 10 MB. Split it into smaller files." in response.text


def test_what_has_changed_since_the_preview_is_judged_again(as_owner, session, keys):
    table = kept_table(choose(as_owner, csv_file(HEADINGS, ROWS)).text)
    RevisionFactory(part=PartFactory(number="HB-1", name="Gate"))
    response = as_owner.post("/parts/import/confirm", data={"table": table})
    assert response.status_code == 422
    assert "The part is here as “Gate”." in response.text
    assert part_numbers(session) == ["HB-1"]


def test_confirming_twice_stores_once(as_owner, session, keys):
    table = kept_table(choose(as_owner, csv_file(HEADINGS, ROWS)).text)
    for _ in range(2):
        assert as_owner.post("/parts/import/confirm", data={"table": table}).status_code == 303
    assert part_numbers(session) == ["HB-1"]


@pytest.mark.parametrize("table", ["", "junk"])
def test_a_preview_that_got_lost_asks_for_the_file_again(as_owner, session, table):
    response = as_owner.post("/parts/import/confirm", data={"table": table})
    assert response.status_code == 422
    assert "Choose the file again." in response.text


def test_thousands_of_rows_fit_through_the_page(as_owner, session, keys):
    rows = [[f"P-{at // 5}", "Plate", "A", str(10 + at % 5), "Milling", "Mills", "45"] for at in range(2000)]
    page = choose(as_owner, csv_file(HEADINGS, rows)).text
    assert "And 100 more." in page
    assert as_owner.post("/parts/import/confirm", data={"table": kept_table(page)}).status_code == 303
    assert len(part_numbers(session)) == 400


def test_the_page_explains_each_column_and_gives_a_table_to_fill_in(as_owner, keys):
    page = as_owner.get("/parts/import").text
    for column in COLUMNS:
        assert f'<th scope="row" class="fixed">{column}</th>' in page
    assert "Work centers here: Mills" in re.sub(r"\s+", " ", page)
    template = as_owner.get("/parts/import/template.csv")
    assert template.headers["Content-Disposition"] == "attachment; filename=parts.csv"
    assert template.data.startswith(b"\xef\xbb\xbfPart number,Part name,Revision,")


def test_what_the_template_says_of_an_operation_stands_on_the_part_once_it_is_imported(as_owner, session, keys):
    for name in ("Milling", "Finishing"):
        WorkCenterFactory(name=name)
    template = as_owner.get("/parts/import/template.csv").data
    as_owner.post("/parts/import/confirm", data={"table": kept_table(choose(as_owner, template).text)})
    session.rollback()
    page = as_owner.get(f"/parts/{session.scalars(sa.select(Part.id)).one()}").text
    assert "1:00 to unload" in page
    assert "may wait 60 minutes" in page
    said = "first piece checked, set up in 15 min after another with Vise plate, 20 % of a person while it runs"
    assert said in page


def test_operators_do_not_import(as_operator, session):
    assert as_operator.get("/parts/import").status_code == 403
    assert choose(as_operator, csv_file(HEADINGS, ROWS)).status_code == 403
    assert as_operator.post("/parts/import/confirm", data={"table": ""}).status_code == 403
