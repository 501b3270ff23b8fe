"""Forms for parts, revisions and components."""

from decimal import Decimal
from typing import Any

from wtforms import BooleanField, SelectField
from wtforms.validators import InputRequired, Length, Optional

from app.parts.forms.fields import WeightField
from app.parts.models import BlankForm, BlankSource
from app.parts.services import NewComponent, NewPart, NewRevision
from app.shared.fields import AmountField, LineField, WholeNumberField
from app.shared.units import UnitSystem
from app.shared.web import Form
from app.shared.words import lazy_gettext as _l


class PartForm(Form):
    """Change a part."""

    number = LineField(
        _l("Part number"),
        [
            InputRequired(_l("Enter the number on the drawing.")),
            Length(max=60, message=_l("Use 60 characters or fewer.")),
        ],
        render_kw={"autocomplete": "off", "spellcheck": "false"},
    )
    name = LineField(
        _l("Name"),
        [
            InputRequired(_l("Enter what the shop calls it, such as Hinge block.")),
            Length(max=120, message=_l("Use 120 characters or fewer.")),
        ],
        render_kw={"autocomplete": "off"},
    )
    active = BooleanField(_l("Offered for new orders"), default=True)

    def to_part(self) -> NewPart:
        """Hand the service typed values; call only after ``validate()``."""
        return NewPart(number=self.number.data or "", name=self.name.data or "", active=bool(self.active.data))


class RevisionForm(Form):
    """Add or change a revision and its blank; weights are typed in the shop's ``units``."""

    label = LineField(
        _l("Revision"),
        [
            InputRequired(_l("Enter the revision on the drawing, such as A.")),
            Length(max=12, message=_l("Use 12 characters or fewer.")),
        ],
        render_kw={"autocomplete": "off", "spellcheck": "false"},
    )
    material = LineField(_l("Material"), [Optional(), Length(max=120, message=_l("Use 120 characters or fewer."))])
    blank = LineField(_l("Blank"), [Optional(), Length(max=200, message=_l("Use 200 characters or fewer."))])
    blank_source = SelectField(
        _l("Blank from"), coerce=BlankSource, choices=lambda: [(each.value, each.word) for each in BlankSource]
    )
    blank_form = SelectField(
        _l("Bought by the"), coerce=BlankForm, choices=lambda: [(each.value, each.word) for each in BlankForm]
    )
    pieces_per_unit = WholeNumberField(
        _l("Pieces from each"), [InputRequired(_l("Enter how many pieces are cut from one."))], least=1, default=1
    )
    blank_lead_days = WholeNumberField(_l("Lead time of the blank"), [Optional()], most=1000)
    blank_price = AmountField(_l("Price of one"), [Optional()], digits=4)
    blank_grams = WeightField(_l("Weight of one piece's blank"), [Optional()])
    piece_grams = WeightField(_l("Weight of a finished piece"), [Optional()])

    def __init__(self, *, units: UnitSystem, **options: Any) -> None:
        super().__init__(**options)
        self.blank_grams.units = units
        self.piece_grams.units = units

    def to_revision(self) -> NewRevision:
        """Hand the service typed values; call only after ``validate()``."""
        return NewRevision(
            label=self.label.data or "",
            material=self.material.data or "",
            blank=self.blank.data or "",
            blank_source=self.blank_source.data,
            blank_form=self.blank_form.data,
            pieces_per_unit=self.pieces_per_unit.data or 1,
            blank_lead_days=self.blank_lead_days.data or 0,
            blank_price=self.blank_price.data or Decimal(0),
            blank_grams=self.blank_grams.data or 0,
            piece_grams=self.piece_grams.data or 0,
        )


class PartWithRevisionForm(PartForm, RevisionForm):
    """Add a part with its first revision."""


class AddRevisionForm(RevisionForm):
    """Add a revision that takes over what the former one has."""

    with_files = BooleanField(_l("Also take over drawings and set-up sheets"))


class ComponentForm(Form):
    """Let a part go into another."""

    part_number = LineField(
        _l("Part"),
        [InputRequired(_l("Enter the number of the part that goes in."))],
        render_kw={"autocomplete": "off", "list": "part-choices", "spellcheck": "false"},
    )
    per_piece = WholeNumberField(
        _l("How many in each piece"), [InputRequired(_l("Enter how many go into one piece."))], least=1, most=10_000
    )
    operation_number = SelectField(_l("Fitted at operation"), coerce=int)

    def offer(self, operations: list[tuple[int, str]]) -> None:
        """Offer the operations, as number and title, at which it can be fitted."""
        self.operation_number.choices = list(operations)

    def to_input(self) -> NewComponent:
        """Hand the service typed values; call only after ``validate()``."""
        return NewComponent(
            part_number=self.part_number.data or "",
            per_piece=self.per_piece.data or 0,
            operation_number=self.operation_number.data,
        )
