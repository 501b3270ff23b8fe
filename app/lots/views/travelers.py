"""The printed traveler."""

from flask import request, url_for
from werkzeug.wrappers import Response

from app.core.code128 import svg as bar_code
from app.extensions import allowed, db
from app.lots import queries, services
from app.lots.forms import KeyForm
from app.lots.views import bp
from app.lots.views.acts import office_act
from app.people.models import EVERYONE
from app.shared.codes import ISSUE
from app.shared.qr import qr_svg
from app.shared.web import render, see_other


@bp.get("/lots/<int:lot_id>/traveler")
@allowed(*EVERYONE)
def traveler(lot_id: int) -> Response:
    """Show a lot's traveler as it prints; ``?now=1`` opens the print dialog."""
    story = queries.traveler(db.session, lot_id)
    address = (queries.printed_address(db.session) or request.host_url).rstrip("/")
    return render(
        "lots/traveler.html",
        story=story,
        lot=story.lot,
        print_now=request.args.get("now", 0, type=int) == 1,
        bar_code=bar_code,
        qr=lambda code: qr_svg(f"{address}/c/{code}?{ISSUE}={story.issue}"),
        key_form=KeyForm(),
    )


@bp.post("/lots/<int:lot_id>/prints")
@allowed(*EVERYONE)
def add_print(lot_id: int) -> Response:
    """Note when and by whom the traveler is printed, then show it with the print dialog."""
    services.note_print(db.session, office_act(KeyForm()), lot_id)
    return see_other(url_for("lots.traveler", lot_id=lot_id, now=1))
