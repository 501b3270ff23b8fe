"""Enter from paper: a traveler's rows, or a station's shift, written by pen while the PC was down."""

from collections.abc import Sequence

from flask import flash, request, url_for
from werkzeug.wrappers import Response

from app.core.scan_code import CodeKind
from app.extensions import allowed, db, sign_in
from app.floor import queries, services
from app.floor.errors import NotWorkError
from app.floor.forms import PaperForm, offer_station
from app.floor.queries import PaperOperation
from app.floor.views.blueprint import bp
from app.lots.models import Lot
from app.lots.services import Act
from app.people.models import OFFICE
from app.shared.clock import current_time
from app.shared.codes import read_code
from app.shared.errors import PlainError, RefusedError
from app.shared.web import KeyedForm, render, see_other
from app.shared.words import gettext, ngettext
from app.stations.models import ReasonUse, Station
from app.stations.queries import get_station, stations_with_hours, usual_reasons


@bp.get("/floor/paper")
@allowed(*OFFICE)
def paper() -> Response:
    """Ask which sheet is to be entered, or open that of the traveler whose code was scanned or typed."""
    code = request.args.get("code", "")
    try:
        if code:
            return see_other(url_for("floor.lot_paper", lot_id=_coded_lot_id(code)))
    except PlainError as error:
        return _choice_page(code, str(error), 422)
    return _choice_page()


def _choice_page(code: str = "", refusal: str = "", status: int = 200) -> Response:
    stations = [each for each in stations_with_hours(db.session) if each.active]
    return render("floor/paper.html", stations=stations, code=code, refusal=refusal, status=status)


def _coded_lot_id(text: str) -> int:
    """Return the lot of a traveler's code.

    Raises:
        PlainError: it cannot be read, or names neither a lot nor an operation.
    """
    code = read_code(text)
    if code.kind is CodeKind.LOT:
        return queries.lot_by_number(db.session, code).id
    if code.kind is CodeKind.OPERATION:
        return queries.operation_by_number(db.session, code).lot_id
    raise NotWorkError(str(code))


@bp.get("/floor/paper/lots/<int:lot_id>")
@allowed(*OFFICE)
def lot_paper(lot_id: int) -> Response:
    """Show the rows of a lot's traveler, to be filled in as they stand on paper."""
    lot, operations = queries.paper_lot(db.session, lot_id)
    return _lot_page(lot, operations, PaperForm.of_lot(operations))


def _lot_page(
    lot: Lot, operations: Sequence[PaperOperation], form: PaperForm, status: int = 200, focus: str = ""
) -> Response:
    form.offer(operations)
    return _page(form, status, focus, lot=lot, operations={each.id: each for each in operations}, station=None)


def _page(form: PaperForm, status: int, focus: str, **subject: object) -> Response:
    reasons = usual_reasons(db.session, ReasonUse.SCRAP)
    return render(
        "floor/paper_rows.html",
        fragment="floor/_paper_rows.html",
        status=status,
        form=form,
        focus=focus,
        reasons=reasons,
        **subject,
    )


@bp.post("/floor/paper/lots/<int:lot_id>")
@allowed(*OFFICE)
def add_lot_paper(lot_id: int) -> Response:
    """Keep the rows of a traveler, or show them again: with more rows, or with all that is wrong."""
    lot, operations = queries.paper_lot(db.session, lot_id)
    form = PaperForm()
    form.offer(operations)
    if "more" in request.form:
        return _lot_page(lot, operations, form, focus=form.add_rows())
    if not _keep(form):
        return _lot_page(*queries.paper_lot(db.session, lot_id), form, status=422)
    return see_other(url_for("lots.lot", lot_id=lot_id, _anchor="ledger"))


@bp.get("/floor/paper/stations/<int:station_id>")
@allowed(*OFFICE)
def station_paper(station_id: int) -> Response:
    """Show rows for a station's shift."""
    return _station_page(get_station(db.session, station_id), PaperForm.of_shift())


def _station_page(station: Station, form: PaperForm, status: int = 200, focus: str = "") -> Response:
    offer_station(form, station)
    return _page(form, status, focus, lot=None, operations={}, station=station)


@bp.post("/floor/paper/stations/<int:station_id>")
@allowed(*OFFICE)
def add_station_paper(station_id: int) -> Response:
    """Keep the rows of a station's shift, or show them again: with more rows, or with all that is wrong."""
    station = get_station(db.session, station_id)
    form = PaperForm()
    offer_station(form, station)
    if "more" in request.form:
        return _station_page(station, form, focus=form.add_rows())
    if not _keep(form, station_id):
        return _station_page(get_station(db.session, station_id), form, status=422)
    return see_other(url_for("floor.station_paper", station_id=station_id))


def _keep(form: PaperForm, station_id: int | None = None) -> bool:
    """Keep the rows, or put what is wrong beside their fields."""
    if not form.validate():
        return False
    rows = form.to_input()
    try:
        services.enter_from_paper(db.session, recorded(form), rows, station_id)
    except RefusedError as refused:
        for problem in refused.problems:
            form.put_problem(problem)
        return False
    except PlainError as error:
        form.form_errors.append(str(error))
        return False
    flash(ngettext("%(num)d row is kept.", "%(num)d rows are kept.", len(rows)), "note")
    return True


def recorded(form: KeyedForm) -> Act:
    """Return who types something in from paper now, with the form's key."""
    now = current_time()
    return Act(form.client_key(), now, now, sign_in.person.id, note=gettext("entered from paper"))
