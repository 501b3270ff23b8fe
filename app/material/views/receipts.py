"""Pages of receipts: one of them, its label, receiving without a purchase, and putting one right."""

from flask import request, url_for
from werkzeug.wrappers import Response

from app.core import code128
from app.extensions import allowed, db, sign_in
from app.material import queries, services
from app.material.errors import NoSuchRevisionError, UnknownPartError
from app.material.forms import CorrectionForm, OtherReceiptForm
from app.material.forms.receipts import What
from app.material.models import Origin, Receipt
from app.material.views.blueprint import bp
from app.orders.queries import find_parts, suggest_parts
from app.people.models import EVERYONE, OFFICE
from app.shared.clock import current_time
from app.shared.errors import RefusedError
from app.shared.qr import qr_svg
from app.shared.web import render, see_other
from app.shared.words import local
from app.stations.queries import shop


@bp.get("/receipts/<int:receipt_id>")
@allowed(*EVERYONE)
def receipt(receipt_id: int) -> Response:
    """Show one receipt: what came in, what went to which lot, and how it was corrected."""
    return render("material/receipt.html", receipt=queries.receipt_with_history(db.session, receipt_id))


@bp.get("/receipts/<code>")
@allowed(*EVERYONE)
def receipt_of_code(code: str) -> Response:
    """Lead from the code on a label to its receipt."""
    found = queries.receipt_by_code(db.session, code)
    return see_other(url_for("material.receipt", receipt_id=found.id))


@bp.get("/receipts/<int:receipt_id>/label")
@allowed(*EVERYONE)
def label(receipt_id: int) -> Response:
    """Show a receipt's label to print."""
    kept = queries.get_receipt(db.session, receipt_id)
    address = shop(db.session).address or request.host_url.rstrip("/")
    link = address.rstrip("/") + url_for("material.receipt_of_code", code=kept.code)
    return render("material/label.html", receipt=kept, bars=code128.svg(kept.code), square=qr_svg(link))


@bp.get("/receipts/new")
@allowed(*OFFICE)
def new_other_receipt() -> Response:
    """Ask for what came in without a purchase recorded here; ``?part=``, ``?revision=`` and ``?what=`` fill it in."""
    data = {
        "part": request.args.get("part", ""),
        "revision": request.args.get("revision", ""),
        "what": What.COMPONENT if request.args.get("what") == What.COMPONENT else What.BLANKS,
        "received_on": local(current_time()).date(),
    }
    return _other_receipt_page(OtherReceiptForm(data=data))


@bp.post("/receipts")
@allowed(*OFFICE)
def add_other_receipt() -> Response:
    """Record what came in without a purchase, or show the form again with what is wrong."""
    form = OtherReceiptForm()
    if not form.validate():
        return _other_receipt_page(form, status=422)
    try:
        new = form.to_input(origin=Origin(form.origin.data), **_what(form))
        kept = services.receive(db.session, new, sign_in.person, current_time())
    except UnknownPartError as error:
        form.put_error("part", error)
    except NoSuchRevisionError as error:
        form.put_error("revision", error)
    except RefusedError as refused:
        for problem in refused.problems:
            form.put_error(problem.place, problem.error)
    else:
        return see_other(url_for("material.receipt", receipt_id=kept.id))
    return _other_receipt_page(form, status=422)


def _what(form: OtherReceiptForm) -> dict[str, int]:
    """Return which revision's blanks, or which component, a form asks for.

    Raises:
        UnknownPartError: no part has the typed number.
        NoSuchRevisionError: the part has no such revision, or none that is current.
    """
    number = form.part.data or ""
    part = find_parts(db.session, [number]).find(number)
    if part is None:
        raise UnknownPartError(number)
    if form.what.data == What.COMPONENT:
        return {"part_id": part.id}
    revision = part.revision(form.revision.data or "")
    if revision is None:
        raise NoSuchRevisionError(part.number, part.labels)
    return {"revision_id": revision.id}


def _other_receipt_page(form: OtherReceiptForm, status: int = 200) -> Response:
    return render("material/other_receipt.html", form=form, suggested=suggest_parts(db.session, ""), status=status)


@bp.get("/receipts/<int:receipt_id>/edit")
@allowed(*OFFICE)
def edit_receipt(receipt_id: int) -> Response:
    """Ask for what a receipt should say."""
    kept = queries.get_receipt(db.session, receipt_id)
    data = {
        "pieces": kept.pieces,
        "rejected": kept.rejected,
        "reject_reason": kept.reject_reason,
        "heat": kept.heat,
    }
    return _correction_page(CorrectionForm(data=data), kept)


@bp.post("/receipts/<int:receipt_id>")
@allowed(*OFFICE)
def correct_receipt(receipt_id: int) -> Response:
    """Put a receipt right, or show the form again with what is wrong."""
    form = CorrectionForm()
    if form.validate():
        try:
            services.correct_receipt(db.session, receipt_id, form.to_input(), sign_in.person, current_time())
            return see_other(url_for("material.receipt", receipt_id=receipt_id))
        except RefusedError as refused:
            for problem in refused.problems:
                form.put_error(problem.place, problem.error)
    return _correction_page(form, queries.get_receipt(db.session, receipt_id), status=422)


def _correction_page(form: CorrectionForm, kept: Receipt, status: int = 200) -> Response:
    return render("material/correction.html", form=form, receipt=kept, status=status)
