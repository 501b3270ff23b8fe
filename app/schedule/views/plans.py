"""What each station and lot is planned to do, pins, and promises."""

from datetime import timedelta

from flask import abort, flash, request, url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, db, sign_in
from app.lots.queries import lot_name
from app.people.models import EVERYONE, OFFICE
from app.schedule import queries, services
from app.schedule.forms import PinForm, PromiseQuestion
from app.schedule.views.blueprint import bp, forecast_age
from app.shared.clock import current_time
from app.shared.web import render, see_other, typed_page
from app.shared.words import gettext

DAYS_SHOWN = (1, 3, 7, 14)


@bp.get("/schedule")
@allowed(*EVERYONE)
def schedule() -> Response:
    """Show what each station runs in the next days; ``?days=`` says how many."""
    days = request.args.get("days", 3, type=int)
    days = days if days in DAYS_SHOWN else 3
    plans = queries.station_plans(db.session, current_time() + timedelta(days=days))
    return render("schedule/stations.html", plans=plans, days=days, choices=DAYS_SHOWN, age=forecast_age())


@bp.get("/schedule/stations/<int:station_id>")
@allowed(*EVERYONE)
def station(station_id: int) -> Response:
    """Show all that one station runs."""
    return render("schedule/station.html", plan=queries.station_plan(db.session, station_id), age=forecast_age())


@bp.get("/schedule/load")
@allowed(*EVERYONE)
def load() -> Response:
    """Show how loaded each station is, week by week, and which holds up the others."""
    return render("schedule/load.html", load=queries.load(db.session), full=queries.FULL, age=forecast_age())


@bp.get("/schedule/stations/<int:station_id>/stopped")
@allowed(*EVERYONE)
def stopped(station_id: int) -> Response:
    """Show the lots that cannot be planned because of a station's hours or people, for the station's own page."""
    return render("schedule/_stopped.html", stopped=queries.stopped_at(db.session, station_id), place="station")


@bp.get("/schedule/stopped")
@allowed(*EVERYONE)
def stopped_shop() -> Response:
    """Show the lots that no station can do, for the page of all stations; ``?place=people``: for want of people."""
    place = queries.Mend.PEOPLE if request.args.get("place") == queries.Mend.PEOPLE else queries.Mend.HOURS
    return render("schedule/_stopped.html", stopped=queries.stopped_until_mended(db.session, place), place=place.value)


@bp.get("/schedule/lots")
@allowed(*EVERYONE)
def lots() -> Response:
    """Show the open lots: expected finish against due, and why; ``?show=late`` leaves the others out."""
    shown = queries.Shown.LATE if request.args.get("show") == queries.Shown.LATE else queries.Shown.ALL
    page, outlooks = queries.lots_page(db.session, shown, typed_page())
    return render(
        "schedule/lots.html",
        page=page,
        outlooks=outlooks,
        shown=shown,
        choices=queries.Shown,
        age=forecast_age(),
        why=queries.why,
    )


@bp.get("/schedule/calibration")
@allowed(*EVERYONE)
def calibration() -> Response:
    """Show how far the chances can be believed."""
    return render("schedule/calibration.html", found=queries.calibration())


@bp.get("/schedule/lots/<int:lot_id>")
@allowed(*EVERYONE)
def lot(lot_id: int) -> Response:
    """Show what is planned for one lot, and where its time goes."""
    plan = queries.lot_plan(db.session, lot_id)
    return render(
        "schedule/lot.html",
        plan=plan,
        age=forecast_age(),
        why=queries.why,
        chain=queries.chain_words,
        turn=queries.turn_of(db.session, plan.lot),
        mended_at=queries.mended_at,
    )


@bp.get("/schedule/lots/<int:lot_id>/outlook")
@allowed(*EVERYONE)
def outlook(lot_id: int) -> Response:
    """Show when one lot is expected, for the lot's own page."""
    plan = queries.lot_plan(db.session, lot_id)
    return render("schedule/_outlook.html", plan=plan, why=queries.why)


@bp.post("/schedule/lots/<int:lot_id>/pin")
@allowed(*OFFICE)
def pin_lot(lot_id: int) -> Response:
    """Let a lot go before those that are not pinned, or move it among those that are."""
    form = PinForm()
    if not form.validate():
        abort(
            400, gettext("A pinned lot goes first, one place earlier or one place later. Use the buttons of the page.")
        )
    moved = services.pin_lot(db.session, lot_id, sign_in.person.id, current_time(), form.to_input())
    text = gettext("Lot %(lot)s is pinned to place %(place)s.", lot=lot_name(moved), place=moved.pin)
    flash(text + " " + gettext("The forecast follows in a moment."), "note")
    return see_other(url_for("schedule.lot", lot_id=lot_id))


@bp.post("/schedule/lots/<int:lot_id>/unpin")
@allowed(*OFFICE)
def unpin_lot(lot_id: int) -> Response:
    """Take a lot's pin away, so that what decides about all others decides about it too."""
    freed = services.unpin_lot(db.session, lot_id, sign_in.person.id, current_time())
    turn = queries.turn_of(db.session, freed)
    text = gettext(
        "Lot %(lot)s is unpinned. What decides its turn now: %(turn)s.",
        lot=lot_name(freed),
        turn=turn[:1].lower() + turn[1:],
    )
    flash(text + " " + gettext("The forecast follows in a moment."), "note")
    return see_other(url_for("schedule.lot", lot_id=lot_id))


@bp.get("/schedule/promise")
@allowed(*OFFICE)
def promise() -> Response:
    """Say when an order that is being typed could be finished."""
    question = PromiseQuestion.from_arguments(request.args)
    outcome = queries.promise_for(db.session, question.asked, current_time()) if question.asked else None
    return render(
        "schedule/_promise.html",
        target=question.target,
        problem=question.problem,
        outcome=outcome,
        asked=question.asked,
    )
