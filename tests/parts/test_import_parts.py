"""A table of parts and routings is stored whole or not at all."""

from dataclasses import replace
from decimal import Decimal

import pytest
import sqlalchemy as sa

from app.parts import queries
from app.parts.models import BlankForm, BlankSource, OperationFile, Part, Revision, Routing, RoutingOperation, Taking
from app.parts.services import COLUMNS, EXAMPLE_ROWS, NewRouting, Outcome, import_parts, preview_parts, save_routing
from app.shared.sheets import CellProblem, ImportRefusedError, Sheet, csv_file, read_sheet
from tests.factories.parts import ComponentFactory, PartFactory, RevisionFactory, StoredFileFactory
from tests.factories.people import PersonFactory
from tests.factories.stations import WorkCenterFactory
from tests.parts.shop import milling
from tests.statements import counted


def table(*rows: dict[str, str]) -> Sheet:
    columns = list(dict.fromkeys(name for row in rows for name in row))
    return read_sheet(csv_file(columns, [[row.get(name, "") for name in columns] for row in rows]), "t.csv")


def part(**other: str) -> dict[str, str]:
    return {"Part number": "HB-1", "Part name": "Hinge", "Revision": "A", **other}


def mill(**other: str) -> dict[str, str]:
    return {"Operation": "20", "Kind": "milling", "Work center": "MILLS", "Cycle time": "1:30", **other}


@pytest.fixture
def run(session, keys, now):
    def imported(*rows: dict[str, str], by=None):
        session.rollback()
        return import_parts(session, table(*rows), by=by, now=now)

    return imported


@pytest.fixture
def refused(run):
    def said(*rows: dict[str, str]) -> list[str]:
        with pytest.raises(ImportRefusedError) as caught:
            run(*rows)
        return [str(problem) for problem in caught.value.problems]

    return said


def test_every_column_is_read(session, run, keys):
    person = PersonFactory()
    blank = {
        "Material": "6061", "Blank": "Plate", "Blank from": "Customer", "Bought by the": "Plate",
        "Pieces from each": "12", "Blank lead days": "9",
        "Blank price": "64.1250", "Blank weight": "2", "Piece weight": "350 g",
    }  # fmt: skip
    row = mill(**{
        "What is done": "Mill", "Set-up minutes": "7.5", "Set-up loss": "2", "Yield %": "98.5", "Takes pieces": "Load",
        "Set-up family": "Vise", "Family set-up minutes": "2.5", "Tending %": "35",
        "Load pieces": "8", "Load time": "4 min", "Unload time": "50 s", "Send ahead": "20", "First piece check": "Yes",
        "Instructions": "a\nb",
    })  # fmt: skip
    batch = {
        "Operation": "30", "Kind": "Tumbling", "Work center": "Mills", "Takes pieces": "batch", "Cycle time": "40 min",
        "Load pieces": "60", "Batch weight": "50 lb", "Recipe": "Fine", "Batch wait minutes": "90",
    }  # fmt: skip
    done = run(
        part(**blank, Operation="10", Kind="Ordering blanks"), row, batch,
        {"Operation": "40", "Kind": "Anodizing", "Lead days": "7"}, by=person,
    )  # fmt: skip
    assert [(line.outcome, line.operations) for line in done.lines] == [(Outcome.NEW_PART, 4)]
    revision = session.scalars(sa.select(Part)).one().current_revision
    assert (revision.blank_source, revision.blank_form) == (BlankSource.CUSTOMER, BlankForm.PLATE)
    assert (revision.pieces_per_unit, revision.blank_lead_days, revision.blank_price) == (12, 9, Decimal("64.125"))
    assert (revision.blank_grams, revision.piece_grams) == (907, 350)
    routing = queries.routing_of(session, revision.id)
    assert (routing.version, routing.created_by_id) == (1, person.id)
    order, load, tumble, outside = routing.operations
    assert (order.taking, order.lead_days) == (Taking.LEAD_TIME, 9)
    assert (load.cycle_ms, load.setup_seconds, load.setup_loss, load.expected_yield) == (
        90_000,
        450,
        2,
        Decimal("0.985"),
    )
    assert (load.taking, load.load_pieces, load.load_ms, load.unload_ms) == (Taking.LOAD, 8, 240_000, 50_000)
    assert (load.setup_family, load.family_setup_seconds, load.tend_percent) == ("Vise", 150, 35)
    assert (load.send_ahead, load.first_piece, load.instructions) == (20, True, "a\nb")
    assert (tumble.load_pieces, tumble.batch_grams, tumble.recipe) == (60, 22_680, "Fine")
    assert (tumble.wait_minutes, tumble.unload_ms, tumble.tend_percent) == (90, 0, 0)
    assert (outside.kind_id, outside.work_center_id, outside.lead_days) == (keys.anodizing, None, 7)


def test_columns_of_the_part_are_repeated_or_left_empty(session, run):
    run(
        part(**mill()),
        {**part(**{"Part name": ""}), **mill(Operation="30")},
        mill(Operation="40"),
        part(**{"Part number": "HB-2"}),
        {"Revision": "B", **mill()},
    )
    found = session.execute(
        sa.select(Part.number, Revision.label, Revision.current, sa.func.count(RoutingOperation.id))
        .select_from(Revision)
        .join(Revision.part)
        .outerjoin(Revision.routings)
        .outerjoin(Routing.operations)
        .group_by(Part.number, Revision.id, Revision.label, Revision.current)
        .order_by(Revision.id)
    )
    assert [tuple(row) for row in found] == [("HB-1", "A", True, 3), ("HB-2", "A", False, 0), ("HB-2", "B", True, 1)]


def test_the_template_itself_can_be_imported(session, keys, now):
    WorkCenterFactory(name="Milling")
    WorkCenterFactory(name="Finishing")
    session.rollback()
    sheet = read_sheet(csv_file(COLUMNS, EXAMPLE_ROWS), "parts.csv")
    assert import_parts(session, sheet, by=None, now=now).count(Outcome.NEW_PART) == 1


@pytest.mark.parametrize(
    ("cells", "says"),
    [
        ({"Part number": ""}, "Row 2, Part number: Enter the part number: no row above has one."),
        ({"Revision": ""}, "Row 2, Revision: Enter the revision on the drawing."),
        ({"Part name": ""}, "Row 2, Part name: Enter the name of this new part."),
        ({"Part number": "x" * 61}, "Row 2, Part number: Use 60 characters or fewer."),
        ({"Blank from": "mars"}, "Row 2, Blank from: “mars” is not known. Known are: vendor, customer."),
        ({"Bought by the": "sheet"}, "Row 2, Bought by the: “sheet” is not known. Known are: piece, plate, bar."),
        ({"Pieces from each": "4"}, "Row 2, Pieces from each: A blank bought by the piece makes 1 piece."),
        ({"Blank lead days": "1.5"}, "Row 2, Blank lead days: Type a whole number"),
        ({"Blank price": "6,40"}, "Row 2, Blank price: The comma in “6,40” can be read two ways"),
        ({"Piece weight": "heavy"}, "Row 2, Piece weight: Type a number"),
        ({"Operation": "ten"}, "Row 2, Operation: Type a whole number"),
        ({"Operation": ""}, "Row 2, Operation: Enter the operation's number, or empty the row's “Kind”."),
        ({"Kind": ""}, "Row 2, Kind: Enter the kind of operation."),
        (
            {"Kind": "Magic"},
            "Row 2, Kind: “Magic” is not known. Known are: Anodizing, Milling, Ordering blanks, Tumbling.",
        ),
        ({"Work center": "Moon"}, "Row 2, Work center: “Moon” is not known. Known are: Mills."),
        ({"Work center": ""}, "Row 2, Work center: Choose the work center"),
        ({"Takes pieces": "slowly"}, "Row 2, Takes pieces: “slowly” is not known."),
        ({"Takes pieces": "lead time"}, "Row 2, Takes pieces: A lead time in days is for kinds done by others."),
        ({"Takes pieces": "load"}, "Row 2, Load pieces: Enter how many pieces"),
        ({"Cycle time": "1.5"}, "Row 2, Cycle time: Say which unit"),
        ({"Cycle time": ""}, "Row 2, Cycle time: The time must be more than nothing."),
        ({"Set-up minutes": "1:30"}, "Row 2, Set-up minutes: Type minutes"),
        ({"Set-up family": "x" * 61}, "Row 2, Set-up family: Use 60 characters or fewer."),
        ({"Family set-up minutes": "1:30"}, "Row 2, Family set-up minutes: Type minutes"),
        ({"Family set-up minutes": "-5"}, "Row 2, Family set-up minutes: "),
        (
            {"Set-up minutes": "10", "Set-up family": "Vise", "Family set-up minutes": "11"},
            "Row 2, Family set-up minutes: Within its family it cannot take longer than the whole set-up.",
        ),
        (
            {"Set-up minutes": "10", "Family set-up minutes": "5"},
            "Row 2, Set-up family: Name the fixture or family of parts that makes set-up shorter.",
        ),
        ({"Tending %": "101"}, "Row 2, Tending %: It must be 100 or less."),
        ({"Tending %": "a third"}, "Row 2, Tending %: Type a whole number"),
        ({"Unload time": "1.5"}, "Row 2, Unload time: Say which unit"),
        ({"Batch wait minutes": "10081"}, "Row 2, Batch wait minutes: It must be 10,080 or less."),
        ({"Yield %": "0"}, "Row 2, Yield %: The yield is above 0"),
        ({"First piece check": "maybe"}, "Row 2, First piece check: “maybe” is not known."),
        ({"Instructions": "x" * 4001}, "Row 2, Instructions: Use 4000 characters or fewer."),
    ],
)
def test_each_bad_cell_is_named_with_what_is_wrong_and_nothing_is_stored(session, refused, cells, says):
    found = refused({**part(**mill()), **cells})
    assert len(found) == 1, found
    assert found[0].startswith(says)
    assert session.scalars(sa.select(Part)).all() == []


def test_characters_that_are_not_seen_are_left_out(session, run):
    run(part(Material="6061\x07T6", **mill(Instructions="one\x01\r\ntwo")))
    revision = session.scalars(sa.select(Revision)).one()
    assert revision.material == "6061 T6"
    assert queries.routing_of(session, revision.id).operations[0].instructions == "one\ntwo"


def test_all_bad_cells_are_named_in_the_order_of_the_rows(refused):
    found = refused(
        part(**mill(**{"Cycle time": "x", "Kind": "y"})),
        {"Operation": "30", "Kind": "Milling", "Cycle time": "1:75"},
        part(**{"Part number": "HB-2", "Blank price": "z"}),
    )
    assert [line.partition(":")[0] for line in found] == [
        "Row 2, Kind",
        "Row 2, Cycle time",
        "Row 3, Cycle time",
        "Row 4, Blank price",
    ]


def test_rules_about_a_whole_routing_name_their_row(refused):
    assert refused(part(**mill()), mill(Operation="10")) == [
        "Row 3, Operation: It comes after 20, so its number must be higher."
    ]
    assert refused(part(**mill()), mill())[0].startswith("Row 3, Operation: There is already an operation 20 above.")
    assert refused(part(**mill()), {"Operation": "30", "Kind": "ordering blanks", "Lead days": "3"}) == [
        "Row 3, Kind: Ordering the blanks comes first. Move this operation to the top."
    ]


def test_a_part_that_says_two_things_is_refused(refused):
    assert refused(part(Material="Steel", **mill()), {**part(Material="Brass"), **mill(Operation="30")}) == [
        "Row 3, Material: Row 2 says “Steel”. Write the same, or leave this empty."
    ]
    assert refused(part(**mill()), part(**{"Part name": "Other", "Revision": "B"})) == [
        "Row 3, Part name: A row above calls this part “Hinge”. Write the same, or leave this empty."
    ]


@pytest.mark.parametrize(
    ("rows", "says"),
    [
        ([{"Part number": "A"}], "Row 1, Revision: This column is missing."),
        ([part(Colour="red")], "Row 1, Colour: This column is not known."),
    ],
)
def test_wrong_headings_are_named(refused, rows, says):
    assert refused(*rows)[0].startswith(says)


def test_a_table_without_rows_is_refused(session, keys, now):
    session.rollback()
    with pytest.raises(ImportRefusedError, match="There is no row below the headings"):
        import_parts(session, read_sheet(b"Part number,Revision\n", "t.csv"), by=None, now=now)


def test_a_broken_formula_keeps_everything_out(session, keys, now):
    sheet = replace(table(part(**mill())), problems=(CellProblem(2, "Cycle time", "This cell shows the error #N/A."),))
    session.rollback()
    with pytest.raises(ImportRefusedError, match=r"1 cell is wrong, and nothing was stored\. Row 2, Cycle time"):
        import_parts(session, sheet, by=None, now=now)


class TestWhatIsHereAlready:
    @pytest.fixture
    def stored(self, session, keys, now):
        revision = RevisionFactory(
            part=PartFactory(number="HB-1", name="Hinge"), label="A", material="Steel", piece_grams=100
        )
        first = save_routing(session, revision.id, NewRouting((milling(keys, title=""),), 0), by=None, now=now)
        session.add(OperationFile(routing_operation_id=first.operations[0].id, file=StoredFileFactory(), title="Vise"))
        session.commit()
        return revision

    def test_the_same_again_changes_nothing(self, session, run, stored):
        done = run({"Part number": "hb-1", "Revision": "a", **mill(**{"Set-up minutes": "30"})})
        assert [line.outcome for line in done.lines] == [Outcome.UNCHANGED]
        assert queries.newest_version(session, stored.id) == 1

    def test_a_row_without_operations_leaves_the_routing_alone(self, session, run, stored):
        assert run(part()).lines[0].outcome is Outcome.UNCHANGED
        assert queries.newest_version(session, stored.id) == 1

    def test_other_operations_make_a_new_version_that_keeps_the_drawings(self, session, run, stored):
        done = run(part(**mill(**{"Cycle time": "60"})), mill(Operation="30"))
        assert done.lines[0].sentence == "New version of its routing, 2 operations"
        routing = queries.routing_of(session, stored.id)
        assert (routing.version, routing.operations[0].cycle_ms) == (2, 60_000)
        assert [[file.title for file in each.files] for each in routing.operations] == [["Vise"], []]

    def test_a_new_revision_becomes_the_current_one(self, session, run, stored):
        done = run({"Part number": "HB-1", "Revision": "B", **mill()})
        assert done.lines[0].outcome is Outcome.NEW_REVISION
        session.refresh(stored)
        assert not stored.current
        assert queries.current_revision(session, stored.part_id).label == "B"

    def test_a_cell_that_says_otherwise_is_refused_and_not_overwritten(self, session, refused, stored):
        found = refused(part(**{"Part name": "Gate", "Material": "Brass", "Piece weight": "100 g"}))
        assert found == [
            "Row 2, Part name: The part is here as “Hinge”. Write the same, or leave this empty.",
            "Row 2, Material: This revision is here with another value. Leave this empty.",
        ]

    def test_the_stored_piece_weight_counts_for_a_batch(self, refused, stored, keys):
        tumble = {"Operation": "30", "Kind": "Tumbling", "Work center": "Mills", "Takes pieces": "batch"}
        tumble |= {"Load pieces": "9", "Cycle time": "60", "Batch weight": "50 g"}
        assert refused(part(**mill()), tumble)[0].startswith("Row 3, Batch weight: One piece weighs 0.2 lb")

    def test_an_operation_that_takes_components_is_not_dropped(self, session, refused, stored):
        ComponentFactory(revision_id=stored.id, operation_number=20)
        assert refused(part(**mill(Operation="25"))) == [
            "Row 2, Operation: Components are fitted at operation 20, which is missing here."
        ]


def test_the_preview_stores_nothing_and_tells_what_would_happen(session, keys, now):
    session.rollback()
    preview = preview_parts(session, table(part(**mill()), part(**{"Part number": "HB-2", "Revision": "B"})))
    assert [(line.row, line.number, line.label, line.sentence) for line in preview.lines] == [
        (2, "HB-1", "A", "New part, 1 operation"),
        (3, "HB-2", "B", "New part, 0 operations"),
    ]
    assert preview.problems == ()
    assert session.scalars(sa.select(Part)).all() == []


def test_reading_takes_the_same_statements_for_one_part_and_for_two_hundred(session, engine, keys, now):
    def statements(parts: int, name: str) -> tuple[int, int]:
        heads = [part(**{"Part number": f"{name}-{at}", **mill()}) for at in range(parts)]
        sheet = table(*(row for head in heads for row in (head, mill(Operation="30"), mill(Operation="40"))))
        session.rollback()
        with counted(engine) as sent:
            assert import_parts(session, sheet, by=None, now=now).count(Outcome.NEW_PART) == parts
        reads = sum(statement.startswith("SELECT") for statement in sent)
        return reads, sum(statement.startswith("INSERT INTO routing_operation") for statement in sent)

    RevisionFactory()
    assert statements(1, "ONE") == statements(200, "MANY")
    assert session.scalar(sa.select(sa.func.count()).select_from(RoutingOperation)) == 603
