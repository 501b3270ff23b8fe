"""Measuring at a station: readings one after another, the piece count, suspects, and what an inspector says."""

from dataclasses import dataclass

from flask import flash, request, url_for
from werkzeug.wrappers import Response

from app.extensions import db, open_to_all
from app.floor import queries, services
from app.floor.forms import MadeForm, ReadingForm, SentForm, WhyForm
from app.floor.views.blueprint import bp
from app.floor.views.pages import show
from app.floor.views.refusals import Refusal, refusal_of
from app.lots.queries.names import lot_name
from app.quality.errors import FarOutError, MeasuringRefusedError, WhyMissingError
from app.quality.services import Recorded
from app.shared.clock import current_time
from app.shared.errors import PlainError
from app.shared.web import see_other
from app.shared.words import gettext, ngettext

ADDRESS = "/floor/stations/<int:station_id>/operations/<int:operation_id>"


@dataclass(frozen=True, slots=True)
class Typed:
    """What was typed on the page and is shown again with what is wrong; at most one of its forms.

    Attributes:
        reading: a reading.
        made: how many pieces are made.
        why: why a reading is struck out, or why an inspector lets it go on.
        striking: the reading that is struck out; None: ``why`` is an inspector's.
    """

    reading: ReadingForm | None = None
    made: MadeForm | None = None
    why: WhyForm | None = None
    striking: int | None = None


@bp.get(f"{ADDRESS}/readings")
@open_to_all
def readings(station_id: int, operation_id: int) -> Response:
    """Show what is due and take the next reading: of the characteristic ``?of=``, or of the first that is due."""
    return _page(station_id, operation_id, Typed())


@bp.post(f"{ADDRESS}/readings")
@open_to_all
def add_reading(station_id: int, operation_id: int) -> Response:
    """Keep a reading, or show the form again with what is wrong or in doubt."""
    form = ReadingForm()
    question: FarOutError | None = None
    refusal: Refusal | None = None
    try:
        sent = form.to_sent(station_id, current_time())
        if form.validate():
            recorded = services.take_reading(db.session, sent, operation_id, form.to_input())
            return see_other(_after(station_id, operation_id, recorded))
    except FarOutError as error:
        question = error
    except MeasuringRefusedError as error:
        form.put_error(error.about, error)
    except PlainError as error:
        refusal = refusal_of(error, station_id, operation_id)
    return _page(station_id, operation_id, Typed(form), question, refusal, status=422)


def _after(station_id: int, operation_id: int, recorded: Recorded) -> str:
    """Return the address that shows what came of a reading and asks for the next."""
    kept = recorded.reading
    wants_again = not kept.is_good and recorded.nonconformance is None
    of = kept.characteristic_id if wants_again else None
    return url_for("floor.readings", station_id=station_id, operation_id=operation_id, kept=kept.id, of=of)


@bp.post(f"{ADDRESS}/readings/<int:reading_id>/strikes")
@open_to_all
def strike_reading(station_id: int, operation_id: int, reading_id: int) -> Response:
    """Strike a wrong reading out."""
    form = WhyForm()
    try:
        sent = form.to_sent(station_id, current_time())
        services.strike_reading(db.session, sent, reading_id, form.reason.data or "")
    except WhyMissingError as error:
        form.put_error("reason", error)
        return _page(station_id, operation_id, Typed(why=form, striking=reading_id), status=422)
    except PlainError as error:
        return _refused(station_id, operation_id, error)
    return _back(station_id, operation_id)


@bp.post(f"{ADDRESS}/all-checked")
@open_to_all
def add_all_checked(station_id: int, operation_id: int) -> Response:
    """Keep that all pieces made by now were checked."""
    try:
        pieces = services.say_all_checked(db.session, SentForm().to_sent(station_id, current_time()), operation_id)
    except PlainError as error:
        return _refused(station_id, operation_id, error)
    flash(ngettext("%(num)d piece: all checked.", "%(num)d pieces: all checked.", pieces), "note")
    return _back(station_id, operation_id)


@bp.post(f"{ADDRESS}/made")
@open_to_all
def add_made(station_id: int, operation_id: int) -> Response:
    """Correct how many pieces are made by now."""
    form = MadeForm()
    try:
        sent = form.to_sent(station_id, current_time())
        if form.validate():
            services.say_made(db.session, sent, operation_id, form.made.data or 0)
            return _back(station_id, operation_id)
    except PlainError as error:
        refusal = refusal_of(error, station_id, operation_id)
        return _page(station_id, operation_id, Typed(made=form), refusal=refusal, status=422)
    return _page(station_id, operation_id, Typed(made=form), status=422)


@bp.post(f"{ADDRESS}/waivers")
@open_to_all
def add_waiver(station_id: int, operation_id: int) -> Response:
    """Let the pieces be signed off though readings are missing or out: an inspector, with a reason."""
    form = WhyForm()
    try:
        sent = form.to_sent(station_id, current_time())
        services.let_go_on(db.session, sent, operation_id, form.reason.data or "")
    except WhyMissingError as error:
        form.put_error("reason", error)
        return _page(station_id, operation_id, Typed(why=form), status=422)
    except PlainError as error:
        return _refused(station_id, operation_id, error)
    flash(gettext("It may be signed off; the reason is on record."), "note")
    return _back(station_id, operation_id)


@bp.post(f"{ADDRESS}/suspects/<int:nonconformance_id>")
@open_to_all
def split_suspects(station_id: int, operation_id: int, nonconformance_id: int) -> Response:
    """Split the suspect pieces off and let the rest go on."""
    try:
        sent = SentForm().to_sent(station_id, current_time())
        child = services.split_suspects(db.session, sent, nonconformance_id)
    except PlainError as error:
        return _refused(station_id, operation_id, error)
    said = gettext("The suspect pieces are lot %(lot)s now, on hold. Print its traveler.", lot=lot_name(child))
    flash(said, "note")
    return _back(station_id, operation_id)


def _back(station_id: int, operation_id: int) -> Response:
    return see_other(url_for("floor.readings", station_id=station_id, operation_id=operation_id))


def _refused(station_id: int, operation_id: int, error: PlainError) -> Response:
    refusal = refusal_of(error, station_id, operation_id)
    return _page(station_id, operation_id, Typed(), refusal=refusal, status=422)


def _page(
    station_id: int,
    operation_id: int,
    typed: Typed,
    question: FarOutError | None = None,
    refusal: Refusal | None = None,
    *,
    status: int = 200,
) -> Response:
    form = typed.reading
    of = form.of.data if form else request.args.get("of", type=int)
    kept = request.args.get("kept", type=int)
    page = queries.measuring_page(db.session, station_id, operation_id, current_time(), of=of, kept=kept)
    if form is None:
        form = ReadingForm(formdata=None, data={"gauge_id": page.gauge_id})
    form.offer(page.gauges)
    return show(
        "floor/readings.html",
        station_id,
        operation=page.operation,
        shown=page,
        form=form,
        made_form=typed.made or MadeForm(formdata=None),
        why_form=typed.why or WhyForm(formdata=None),
        striking=typed.striking,
        question=question,
        refusal=refusal,
        status=status,
    )
