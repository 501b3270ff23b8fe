"""The routing's editor: all operations of a revision in one form."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType
from typing import Any

from wtforms import BooleanField, Field, FieldList, FormField, HiddenField, SelectField
from wtforms.validators import InputRequired, Length

from app.parts.errors import RowProblem
from app.parts.forms.fields import MinutesField, TimeField, WeightField
from app.parts.models import KindRole, OperationKind, Routing, RoutingOperation, Taking
from app.parts.services import NewOperation, NewRouting
from app.parts.services.routing_rules import MOST_OPERATIONS
from app.shared.fields import AmountField, LineField, LinesField, MayBeBlank, WholeNumberField
from app.shared.units import UnitSystem
from app.shared.web import Form
from app.shared.words import gettext
from app.shared.words import lazy_gettext as _l
from app.stations.models import WorkCenter


@dataclass(frozen=True, slots=True)
class Offer:
    """What an operation can choose from."""

    kinds: Sequence[OperationKind]
    work_centers: Sequence[WorkCenter]
    units: UnitSystem


def _key(value: Any) -> int | None:
    text = str(value or "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else None


class OperationForm(Form):
    """One operation. Fields that its kind or its way of taking pieces has no use for are neither read nor checked."""

    number = WholeNumberField(
        _l("Number"), [InputRequired(_l("Enter a number, such as 10."))], least=1, most=999, render_kw={"max": 999}
    )
    kind_id = SelectField(_l("Kind"), [InputRequired(_l("Choose the kind of operation."))], coerce=_key)
    work_center_id = SelectField(_l("Work center"), [MayBeBlank()], coerce=_key)
    title = LineField(_l("What is done"), [MayBeBlank(), Length(max=120, message=_l("Use 120 characters or fewer."))])
    setup_seconds = MinutesField(_l("Set-up, minutes"), [MayBeBlank()])
    setup_family = LineField(
        _l("Fixture or family of parts"), [MayBeBlank(), Length(max=60, message=_l("Use 60 characters or fewer."))]
    )
    family_setup_seconds = MinutesField(_l("Set-up within it, minutes"), [MayBeBlank()])
    tend_percent = WholeNumberField(_l("Share of a person while it runs, %"), [MayBeBlank()], most=100)
    setup_loss = WholeNumberField(_l("Lost in setting up"), [MayBeBlank()], most=10_000)
    expected_yield = AmountField(_l("Yield, %"), [MayBeBlank()], digits=4, most=100)
    taking = SelectField(
        _l("Takes pieces"),
        coerce=Taking,
        choices=lambda: [(each.value, each.word) for each in Taking if each is not Taking.LEAD_TIME],
    )
    cycle_ms = TimeField(_l("Cycle time"), [MayBeBlank()])
    load_pieces = WholeNumberField(_l("Pieces in a load"), [MayBeBlank()], least=1)
    load_ms = TimeField(_l("Loading time"), [MayBeBlank()])
    unload_ms = TimeField(_l("Unloading time"), [MayBeBlank()])
    batch_pieces = WholeNumberField(_l("Pieces in a batch"), [MayBeBlank()], least=1)
    batch_grams = WeightField(_l("Weight of a batch"), [MayBeBlank()])
    recipe = LineField(_l("Recipe"), [MayBeBlank(), Length(max=80, message=_l("Use 80 characters or fewer."))])
    wait_minutes = WholeNumberField(_l("May wait for others, minutes"), [MayBeBlank()], most=10_080)
    bar_pieces = WholeNumberField(_l("Pieces from a bar"), [MayBeBlank()], least=1)
    bar_change_ms = TimeField(_l("Bar change time"), [MayBeBlank()])
    lead_days = WholeNumberField(_l("Lead time, days"), [MayBeBlank()], most=1000)
    send_ahead = WholeNumberField(_l("Send ahead"), [MayBeBlank()])
    first_piece = BooleanField(_l("First piece is checked"))
    instructions = LinesField(
        _l("Instructions"), [MayBeBlank(), Length(max=4000, message=_l("Use 4000 characters or fewer."))]
    )
    source_id = HiddenField()

    known_roles: Mapping[int, KindRole] = MappingProxyType({})

    def offer(self, offer: Offer) -> None:
        """Fill the choices; call before it is shown or validated."""
        kinds = [(kind.id, kind.name, {"data-role": kind.role.value}) for kind in offer.kinds]
        self.kind_id.choices = [("", gettext("Choose")), *kinds]
        self.work_center_id.choices = [("", gettext("Choose")), *((each.id, each.name) for each in offer.work_centers)]
        self.batch_grams.units = offer.units
        self.known_roles = {kind.id: kind.role for kind in offer.kinds}

    @property
    def role(self) -> KindRole:
        """Return what the chosen kind means; a station's before one is chosen."""
        return self.known_roles.get(self.kind_id.data, KindRole.STATION)

    @property
    def wanted(self) -> set[str]:
        """Return the names of the fields that this kind and way of taking pieces need."""
        by_role = ROLE_FIELDS[self.role]
        return {*ALWAYS, *by_role, *(TAKING_FIELDS.get(self.taking.data, ()) if "taking" in by_role else ())}

    def validate(self, extra_validators: Any = None) -> bool:
        """Check the fields that are wanted, and ask for those that cannot be empty."""
        super().validate(extra_validators)
        wanted = self.wanted
        for name, field in self._fields.items():
            if name not in wanted:
                field.errors = []
            elif name in NEEDED and field.data is None and not field.errors:
                field.errors = [str(NEEDED[name])]
        return not self.errors

    def follow(self, followers: Mapping[int, int]) -> None:
        """Take the files from the operation that follows the one this was made from."""
        source_id = _key(self.source_id.data)
        if source_id and source_id in followers:
            self.source_id.data = str(followers[source_id])

    def to_input(self) -> NewOperation:
        """Hand the service typed values; call only after ``validate()``."""
        wanted = self.wanted
        typed = {name: field.data for name, field in self._fields.items() if name in wanted}
        percent = typed.get("expected_yield")
        return NewOperation(
            number=typed["number"],
            kind_id=typed["kind_id"],
            work_center_id=typed.get("work_center_id"),
            title=typed["title"] or "",
            setup_seconds=typed.get("setup_seconds") or 0,
            setup_family=typed.get("setup_family") or "",
            family_setup_seconds=typed.get("family_setup_seconds") or 0,
            tend_percent=typed.get("tend_percent") or 0,
            setup_loss=typed.get("setup_loss") or 0,
            expected_yield=Decimal(1) if percent is None else percent.scaleb(-2),
            taking=typed.get("taking") or Taking.LEAD_TIME,
            cycle_ms=typed.get("cycle_ms") or 0,
            load_pieces=typed.get("load_pieces") or typed.get("batch_pieces") or typed.get("bar_pieces") or 1,
            load_ms=typed.get("load_ms") or typed.get("bar_change_ms") or 0,
            unload_ms=typed.get("unload_ms") or 0,
            batch_grams=typed.get("batch_grams") or 0,
            recipe=typed.get("recipe") or "",
            wait_minutes=typed.get("wait_minutes") or 0,
            lead_days=typed.get("lead_days") or 0,
            send_ahead=typed.get("send_ahead") or 0,
            first_piece=bool(typed.get("first_piece")),
            instructions=typed["instructions"] or "",
            source_id=_key(typed["source_id"]),
        )


ALWAYS = ("number", "kind_id", "title", "instructions", "source_id")
ROLE_FIELDS: dict[KindRole, tuple[str, ...]] = {
    KindRole.STATION: (
        "work_center_id",
        "setup_seconds",
        "setup_family",
        "family_setup_seconds",
        "tend_percent",
        "setup_loss",
        "expected_yield",
        "taking",
        "cycle_ms",
        "send_ahead",
        "first_piece",
    ),
    KindRole.OUTSIDE: ("expected_yield", "lead_days"),
    KindRole.BLANKS: ("lead_days",),
}
TAKING_FIELDS: dict[Taking, tuple[str, ...]] = {
    Taking.LOAD: ("load_pieces", "load_ms", "unload_ms"),
    Taking.BATCH: ("batch_pieces", "batch_grams", "recipe", "wait_minutes"),
    Taking.BAR: ("bar_pieces", "bar_change_ms"),
}
NEEDED = {
    "cycle_ms": _l("Enter the time, such as 1:30, 90 s or 1.5 min."),
    "load_pieces": _l("Enter how many pieces one load holds."),
    "batch_pieces": _l("Enter how many pieces one batch holds at most."),
    "bar_pieces": _l("Enter how many pieces come from one bar."),
}
FIELD_OF_TAKING = {
    ("load_pieces", Taking.BATCH): "batch_pieces",
    ("load_pieces", Taking.BAR): "bar_pieces",
    ("load_ms", Taking.BAR): "bar_change_ms",
}


class RoutingForm(Form):
    """All operations of a revision, made from version ``base_version`` (0: there was none)."""

    base_version = HiddenField(default="0")
    note = LineField(
        _l("What was changed, and why"), [MayBeBlank(), Length(max=200, message=_l("Use 200 characters or fewer."))]
    )
    copy_from = LineField(
        _l("Copy the operations of another part"),
        render_kw={"autocomplete": "off", "list": "part-choices", "spellcheck": "false"},
    )
    operations = FieldList(FormField(OperationForm), max_entries=MOST_OPERATIONS + 1)

    def __init__(self, offer: Offer, **options: Any) -> None:
        super().__init__(**options)
        self.whole_errors: list[str] = []
        for row in self.rows:
            row.offer(offer)

    @property
    def rows(self) -> list[OperationForm]:
        """Return the operations' forms in their order."""
        return [entry.form for entry in self.operations.entries]

    @property
    def source_ids(self) -> set[int]:
        """Return the operations of earlier versions that these were."""
        return {key for row in self.rows if (key := _key(row.source_id.data)) is not None}

    def wrong_fields(self) -> list[tuple[str, Field]]:
        """Return the fields with errors, each with the typed number of its operation; empty where it is of none."""
        own = [("", field) for field in (self.note, self.copy_from) if field.errors]
        return own + [
            (str(row.number.raw_data[0] if row.number.raw_data else row.number.data or at), field)
            for at, row in enumerate(self.rows, start=1)
            for field in row
            if field.errors
        ]

    def put_problems(self, problems: Iterable[RowProblem]) -> None:
        """Show broken rules beside their fields, or over the operations where one is about them all."""
        for problem in problems:
            if problem.row is None:
                self.whole_errors.append(problem.sentence)
            else:
                row = self.rows[problem.row]
                row.put_error(FIELD_OF_TAKING.get((problem.about, row.taking.data), problem.about), problem.sentence)

    def to_input(self) -> NewRouting:
        """Hand the service typed values; call only after ``validate()``."""
        base = str(self.base_version.data or "")
        return NewRouting(
            operations=tuple(row.to_input() for row in self.rows),
            base_version=int(base) if base.isascii() and base.isdigit() else 0,
            note=self.note.data or "",
        )


def rows_of(routing: Routing | None, *, with_files: bool) -> list[dict[str, Any]]:
    """Return a stored routing's operations as rows to edit; ``with_files`` they keep their drawings when saved."""
    return [_row_of(operation, with_files=with_files) for operation in routing.operations] if routing else []


def _row_of(operation: RoutingOperation, *, with_files: bool) -> dict[str, Any]:
    row = {name: getattr(operation, name) for name in (*operation.PLANNED, "kind_id", "work_center_id")}
    batch, bar = operation.taking is Taking.BATCH, operation.taking is Taking.BAR
    row["expected_yield"] = operation.expected_yield.scaleb(2)
    row["setup_loss"] = operation.setup_loss or None
    row["tend_percent"] = operation.tend_percent or None
    row["send_ahead"] = operation.send_ahead or None
    row["unload_ms"] = operation.unload_ms or None
    row["wait_minutes"] = operation.wait_minutes or None
    row["load_pieces"] = operation.load_pieces if operation.taking is Taking.LOAD else None
    row["batch_pieces"] = operation.load_pieces if batch else None
    row["bar_pieces"] = operation.load_pieces if bar else None
    row["bar_change_ms"] = operation.load_ms if bar else None
    row["lead_days"] = operation.lead_days if operation.taking is Taking.LEAD_TIME else None
    row["taking"] = Taking.SINGLE if operation.taking is Taking.LEAD_TIME else operation.taking
    row["source_id"] = operation.id if with_files else None
    return row
