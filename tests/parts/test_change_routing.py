"""The editor of a routing: all operations in one form, stored as the next version."""

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from app.parts import queries
from app.parts.models import Routing, Taking
from app.parts.services import NewOperation, NewRouting, save_routing
from app.people.models import Person
from tests.factories.parts import PartFactory, RevisionFactory
from tests.parts.shop import anodizing, blanks, milling, typed, typed_row
from tests.parts.shown_form import fields_of
from tests.statements import counted


class Editor:
    """The editor of one revision's routing, and what is stored behind it."""

    def __init__(self, session, revision, now) -> None:
        self.session, self.now = session, now
        self.revision_id, self.part_id = revision.id, revision.part_id
        self.path = f"/parts/revisions/{revision.id}/routing"

    def save(self, *operations: NewOperation, base: int = 0, by: Person | None = None) -> Routing:
        new = NewRouting(operations, base_version=base)
        return save_routing(self.session, self.revision_id, new, by=by, now=self.now)

    def stored(self) -> Any:
        self.session.rollback()
        return queries.routing_of(self.session, self.revision_id)


@pytest.fixture
def editor(session, revision, now):
    return Editor(session, revision, now)


def test_operations_of_every_sort_are_stored(as_setup_lead, session, keys, revision, editor):
    revision.piece_grams = 100
    session.commit()
    rows = [
        {"number": "10", "kind_id": str(keys.blanks), "lead_days": "10"},
        typed_row(keys, setup_loss="2", expected_yield="98.5", send_ahead="20", first_piece="y", instructions="a\r\nb"),
        typed_row(
            keys, number="30", taking="load", load_pieces="8", load_ms="4:00", unload_ms="2 min", cycle_ms="12.5 min"
        ),
        typed_row(keys, number="40", taking="bar", bar_pieces="40", bar_change_ms="90", cycle_ms="45"),
        typed_row(
            keys,
            number="50",
            kind_id=str(keys.tumbling),
            taking="batch",
            batch_pieces="60",
            batch_grams="50",
            recipe="Fine",
            wait_minutes="45",
        ),
        {"number": "60", "kind_id": str(keys.anodizing), "lead_days": "7", "expected_yield": "99"},
    ]
    response = as_setup_lead.post(editor.path, data=typed(*rows, note="from the old cards"))
    assert response.status_code == 303
    assert response.location == f"/parts/{revision.part_id}?revision={revision.id}"
    routing = editor.stored()
    assert (routing.version, routing.note, routing.created_by_id) == (1, "from the old cards", as_setup_lead.person.id)
    order, mill, load, bar, batch, outside = routing.operations
    assert (order.taking, order.lead_days, order.work_center_id) == (Taking.LEAD_TIME, 10, None)
    assert (mill.taking, mill.cycle_ms, mill.setup_seconds, mill.setup_loss) == (Taking.SINGLE, 90_000, 1800, 2)
    assert (mill.expected_yield, mill.send_ahead, mill.first_piece) == (Decimal("0.985"), 20, True)
    assert mill.instructions == "a\nb"
    assert (load.taking, load.load_pieces, load.load_ms, load.cycle_ms) == (Taking.LOAD, 8, 240_000, 750_000)
    assert (load.unload_ms, batch.wait_minutes, bar.unload_ms) == (120_000, 45, 0)
    assert (bar.taking, bar.load_pieces, bar.load_ms, bar.cycle_ms) == (Taking.BAR, 40, 90_000, 45_000)
    assert (batch.taking, batch.load_pieces, batch.batch_grams, batch.recipe) == (Taking.BATCH, 60, 22_680, "Fine")
    assert (outside.taking, outside.lead_days, outside.expected_yield) == (Taking.LEAD_TIME, 7, Decimal("0.99"))


def test_the_editor_writes_what_it_reads_so_that_saving_again_changes_nothing(
    as_owner, session, keys, revision, editor
):
    revision.piece_grams = 100
    session.commit()
    operations = (
        blanks(keys),
        milling(keys, setup_seconds=50, cycle_ms=90_500, taking=Taking.LOAD, load_pieces=8, load_ms=1_500),
        milling(keys, number=30, taking=Taking.BATCH, load_pieces=9, batch_grams=12_345, recipe="x", send_ahead=5),
        milling(keys, number=35, taking=Taking.BAR, load_pieces=40, load_ms=3_725_000, first_piece=True),
        anodizing(keys, expected_yield=Decimal("0.987654")),
    )
    editor.save(*operations)
    response = as_owner.post(editor.path, data=fields_of(as_owner.get(editor.path).text, "routing-form"))
    assert response.status_code == 303
    assert editor.stored().version == 1
    page = as_owner.get(response.location).text
    assert "Nothing was changed: version 1 of the routing stands." in page


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"number": ""}, "Enter a number, such as 10."),
        ({"number": "1000"}, "It must be 999 or less."),
        ({"kind_id": ""}, "Choose the kind of operation."),
        ({"kind_id": "77"}, "Not a valid choice."),
        ({"work_center_id": ""}, "Choose the work center whose stations can do it."),
        ({"cycle_ms": ""}, "Enter the time, such as 1:30, 90 s or 1.5 min."),
        ({"cycle_ms": "0"}, "The time must be more than nothing."),
        ({"cycle_ms": "1.5"}, "Say which unit: “1.5 min” or “1.5 s”"),
        ({"setup_seconds": "1:30"}, "Type minutes, such as 90 or 7.5"),
        ({"setup_loss": "some"}, "Type a whole number"),
        ({"expected_yield": "0"}, "The yield is above 0 and at most 100 %."),
        ({"expected_yield": "101"}, "It must be 100 or less."),
        ({"taking": "load"}, "Enter how many pieces one load holds."),
        ({"taking": "batch"}, "Enter how many pieces one batch holds at most."),
        ({"taking": "bar"}, "Enter how many pieces come from one bar."),
        ({"taking": "batch", "batch_pieces": "9", "batch_grams": "5"}, "Nobody knows what a piece weighs."),
        ({"taking": "batch", "batch_pieces": "9", "batch_grams": "5 stone"}, "“5 stone” is not one."),
        ({"send_ahead": "-1"}, "It must be 0 or more."),
    ],
)
def test_what_is_wrong_is_said_beside_its_field_and_over_the_form(as_owner, keys, editor, wrong, says):
    response = as_owner.post(editor.path, data=typed(typed_row(keys, title="Typed title", **wrong)))
    assert response.status_code == 422
    assert response.text.count(says) == 2
    assert "Typed title" in response.text
    assert editor.stored() is None


def test_fields_that_are_not_needed_are_neither_read_nor_checked(as_owner, keys, editor):
    junk = {
        "load_pieces": "x",
        "load_ms": "x",
        "batch_pieces": "x",
        "batch_grams": "x",
        "bar_pieces": "x",
        "lead_days": "x",
    }
    assert as_owner.post(editor.path, data=typed(typed_row(keys, **junk))).status_code == 303
    outside = {**typed_row(keys, cycle_ms="x", setup_seconds="x"), "kind_id": str(keys.anodizing), "lead_days": "5"}
    assert as_owner.post(editor.path, data=typed(outside, base_version="1")).status_code == 303
    assert editor.stored().operations[0].lead_days == 5


def test_several_wrong_rows_are_all_named(as_owner, keys, editor):
    rows = [typed_row(keys, cycle_ms=""), typed_row(keys, number="15"), typed_row(keys, number="20", title="last")]
    page = as_owner.post(editor.path, data=typed(*rows)).text
    assert "Enter the time, such as" in page
    page = as_owner.post(editor.path, data=typed(*(row | {"cycle_ms": "60"} for row in rows))).text
    assert "It comes after 20, so its number must be higher." in page
    assert "There is already an operation 20 above." in page


def test_an_empty_routing_is_refused(as_owner, editor):
    response = as_owner.post(editor.path, data=typed())
    assert response.status_code == 422
    assert "A routing needs at least one operation." in response.text


def test_a_version_that_came_between_is_named_and_nothing_typed_is_lost(as_owner, keys, editor):
    first = editor.save(milling(keys))
    source = str(first.operations[0].id)
    theirs = replace(milling(keys), title="Theirs", source_id=first.operations[0].id)
    second = editor.save(theirs, base=1, by=as_owner.person)
    mine = typed(typed_row(keys, title="Mine", source_id=source), base_version="1")
    response = as_owner.post(editor.path, data=mine)
    assert response.status_code == 422
    assert f"{as_owner.person.name} saved version 2 of this routing" in response.text
    assert 'value="Mine"' in response.text
    assert 'name="base_version" type="hidden" value="2"' in response.text
    assert f'name="operations-0-source_id" type="hidden" value="{second.operations[0].id}"' in response.text
    assert editor.stored().version == 2
    again = as_owner.post(editor.path, data=fields_of(response.text, "routing-form"))
    assert again.status_code == 303
    assert (editor.stored().version, editor.stored().operations[0].title) == (3, "Mine")


@pytest.mark.parametrize("button", [{"add": "end"}, {"up": "1"}, {"down": "0"}, {"remove": "0"}])
def test_row_buttons_show_the_form_again_without_storing_or_checking(as_owner, keys, editor, button):
    rows = [typed_row(keys, number="10", cycle_ms="not a time"), typed_row(keys, number="20", title="Second")]
    response = as_owner.post(editor.path, data=typed(*rows, **button))
    assert response.status_code == 200
    assert "<html" in response.text
    assert 'value="Second"' in response.text
    assert ("not a time" in response.text) == (button != {"remove": "0"})
    assert 'field__errors"><p>' not in response.text
    assert editor.stored() is None


def test_htmx_gets_the_form_alone(as_owner, keys, editor):
    response = as_owner.post(
        editor.path,
        data=typed(typed_row(keys), add="end"),
        headers={"HX-Request": "true", "HX-Request-Type": "partial"},
    )
    assert response.text.lstrip().startswith('<form id="routing-form"')
    assert "<html" not in response.text
    assert response.text.count('class="parts-operation"') == 2


def test_operations_of_another_part_are_filled_in_in_one_step(as_owner, session, keys, editor, now):
    other = RevisionFactory(part=PartFactory(number="HB-900"))
    Editor(session, other, now).save(milling(keys, title="Theirs"))
    response = as_owner.post(editor.path, data=typed(typed_row(keys, title="Mine"), copy="1", copy_from="hb-900"))
    assert response.status_code == 200
    assert 'value="Theirs"' in response.text
    assert "Mine" not in response.text
    assert "Copied from hb-900" in response.text
    assert editor.stored() is None
    sent = fields_of(response.text, "routing-form")
    assert sent["operations-0-source_id"] == ""
    assert as_owner.post(editor.path, data=sent).status_code == 303
    assert editor.stored().operations[0].title == "Theirs"


@pytest.mark.parametrize(
    ("number", "says"),
    [
        ("nobody", "There is no part nobody."),
        ("", "There is no part"),
        ("HB-900", "The current revision of HB-900 has no routing to copy."),
    ],
)
def test_a_part_that_cannot_be_copied_is_said_and_nothing_typed_is_lost(as_owner, session, keys, editor, number, says):
    RevisionFactory(part=PartFactory(number="HB-900"))
    response = as_owner.post(editor.path, data=typed(typed_row(keys, title="Mine"), copy="1", copy_from=number))
    assert response.status_code == 422
    assert says in response.text
    assert 'value="Mine"' in response.text


def test_what_a_browser_would_never_send_is_refused_in_words(as_owner, keys, editor):
    odd = typed(typed_row(keys, source_id="../9"), base_version="x")
    assert as_owner.post(editor.path, data=odd).status_code == 303
    many = typed(*(typed_row(keys, number=str(number)) for number in range(1, 150)), base_version="1")
    response = as_owner.post(editor.path, data=many)
    assert response.status_code == 422
    assert "A routing has at most 100 operations." in response.text


def test_an_earlier_version_is_shown_as_it_was(as_operator, keys, editor):
    editor.save(milling(keys, title="Slow"))
    editor.save(milling(keys, title="Fast"), base=1)
    page = as_operator.get(f"/parts/revisions/{editor.revision_id}/routings/1").text
    assert "Slow" in page
    assert "Fast" not in page
    assert "new lots get version 2" in page
    assert as_operator.get(f"/parts/revisions/{editor.revision_id}/routings/9").status_code == 404


def test_operators_do_not_edit_routings(as_operator, keys, editor):
    assert as_operator.get(editor.path).status_code == 403
    assert as_operator.post(editor.path, data=typed(typed_row(keys))).status_code == 403
    assert editor.stored() is None


def test_the_editor_takes_the_same_statements_for_one_operation_and_for_forty(as_owner, engine, keys, editor):
    def statements() -> int:
        with counted(engine) as sent:
            assert as_owner.get(editor.path).status_code == 200
        return len(sent)

    editor.save(milling(keys))
    few = statements()
    editor.save(*(milling(keys, number=number) for number in range(1, 41)), base=1)
    assert statements() == few
    assert editor.stored().version == 2
