"""The page that shows every component of the look in every state."""

from datetime import date
from typing import Any

from flask import render_template
from wtforms.fields import (
    BooleanField,
    FileField,
    PasswordField,
    RadioField,
    SelectField,
    SelectMultipleField,
)
from wtforms.validators import InputRequired, Optional
from wtforms.widgets import CheckboxInput, ListWidget

from app.core import code128
from app.core.scan_code import CodeKind, format_code, next_number
from app.extensions import open_to_all
from app.review.views import bp
from app.shared.fields import AmountField, DayField, LineField, LinesField, WholeNumberField
from app.shared.qr import qr_svg
from app.shared.web import Form
from app.shared.words import gettext
from app.shared.words import lazy_gettext as _

MATERIALS = {"1": "6061-T6", "2": "4140 HT", "3": "17-4 PH H900"}
STATIONS = {"1": "Mill 1", "2": "Mill 2", "3": "Lathe 1", "4": "Deburr bench"}
OPERATIONS = {"10": "10", "20": "20", "30": "30"}


class ExampleForm(Form):
    """A field of every kind."""

    part = LineField(_("Part number"), [InputRequired()])
    material = SelectField(_("Material"))
    quantity = WholeNumberField(_("Pieces"), [InputRequired()], least=1)
    weight = AmountField(_("Weight of a blank"), [Optional()], digits=3)
    due = DayField(_("Due"))
    note = LinesField(_("Note on the traveler"), [Optional()])
    taking = RadioField(_("How the station takes pieces"), default="one")
    stations = SelectMultipleField(
        _("Stations that can do it"),
        option_widget=CheckboxInput(),
        widget=ListWidget(prefix_label=False),
    )
    operations = SelectMultipleField(_("Operations to print"))
    rush = BooleanField(_("Rush: goes before lots that are due sooner"))
    drawing = FileField(_("Drawing"), [Optional()])
    password = PasswordField(_("Password"))

    def __init__(self, **options: Any) -> None:
        super().__init__(**options)
        self.material.choices = MATERIALS
        self.taking.choices = {
            "one": gettext("One at a time"),
            "load": gettext("A load of several"),
            "bar": gettext("From the bar"),
        }
        self.stations.choices = STATIONS
        self.operations.choices = OPERATIONS


class ShortForm(Form):
    """The few fields of an example beside another."""

    code = LineField(_("Code"))
    good = WholeNumberField(_("Good pieces"))


def _operation(number: int, name: str, hours: float, passed: float = 0, held: float = 0) -> dict[str, Any]:
    return {"number": number, "name": name, "hours": hours, "passed": passed, "held": held}


def _bracket(*passed: float, held_at: int = 0, held: float = 0) -> list[dict[str, Any]]:
    """Return a bracket's operations with the share of pieces that has passed each."""
    names = [
        ("Saw", 1.5),
        ("Mill first side", 14),
        ("Mill second side", 9),
        ("Drill", 4),
        ("Deburr", 3),
        ("Inspect", 2),
    ]
    shares = [*passed, *[0.0] * (len(names) - len(passed))]
    numbered = zip(range(10, 70, 10), names, shares, strict=True)
    return [
        _operation(number, name, hours, share, held if number == held_at else 0)
        for number, (name, hours), share in numbered
    ]


def _rules() -> dict[str, list[dict[str, Any]]]:
    return {
        "on time": _bracket(1, 0.8, 0.35),
        "late": _bracket(1, 0.25),
        "on hold": _bracket(1, 0.5, 0.2, held_at=30, held=0.3),
        "finished": _bracket(1, 1, 1, 1, 1, 1),
    }


def _wrong_form() -> ExampleForm:
    form = ExampleForm(formdata=None, data={"part": "BRK-204", "quantity": 0, "taking": "load", "stations": ["1"]})
    form.put_error("part", _("BRK-204 has no revision that may be made. Add one to the part first."))
    form.put_error("quantity", _("Enter a whole number from 1."))
    form.put_error("stations", _("Mill 1 belongs to another work center."))
    form.put_error("drawing", _("sheet.heic cannot be shown at a station. Save it as PDF, PNG or JPEG."))
    form.put_error("rush", _("Only an owner may rush a lot."))
    return form


@bp.get("/components")
@open_to_all
def components() -> str:
    """Show every component of office pages and paper."""
    code = format_code(CodeKind.LOT, next_number(CodeKind.LOT, 416))
    return render_template(
        "review/components.html",
        form=ExampleForm(
            formdata=None, prefix="right-", data={"part": "BRK-204", "quantity": 60, "due": date(2026, 12, 4)}
        ),
        wrong=_wrong_form(),
        short=ShortForm(formdata=None, prefix="short-", data={"good": 24}),
        shapes=("good", "wait", "warn", "bad", "held", "done"),
        rules=_rules(),
        code=code,
        bars=code128.svg(code),
        qr=qr_svg(f"http://shop.example/c/{code}"),
    )


@bp.get("/components/station")
@open_to_all
def station_components() -> str:
    """Show what station pages are made of, at their size."""
    short = ShortForm(formdata=None, prefix="short-", data={"good": 24})
    return render_template("review/station_components.html", rules=_rules(), short=short)
