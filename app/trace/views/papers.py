"""What goes to the customer with the goods: the certificate of a shipment, the first article report of a lot."""

from werkzeug.wrappers import Response

from app.extensions import allowed, db
from app.parts.queries import get_revision
from app.people.models import EVERYONE
from app.shared.sheets.texts import csv_file
from app.shared.web import render
from app.stations.queries import find_shop
from app.trace import queries
from app.trace.views.blueprint import bp


@bp.get("/shipments/<int:shipment_id>/certificate")
@allowed(*EVERYONE)
def certificate(shipment_id: int) -> Response:
    """Show the certificate of conformance of a shipment to print and sign, or say why none can be made."""
    found = queries.certificate(db.session, shipment_id)
    return render("trace/certificate.html", found=found, shipment=found.shipment, shop=find_shop(db.session))


@bp.get("/revisions/<int:revision_id>/first-articles")
@allowed(*EVERYONE)
def first_articles(revision_id: int) -> Response:
    """Show the lots made to a revision, to choose the one that the first article report is about."""
    revision = get_revision(db.session, revision_id)
    return render("trace/first_articles.html", revision=revision, lots=queries.lots_made_to(db.session, revision_id))


@bp.get("/lots/<int:lot_id>/first-article")
@allowed(*EVERYONE)
def first_article(lot_id: int) -> Response:
    """Show the first article report of a lot to print and sign."""
    found = queries.first_article(db.session, lot_id)
    return render("trace/first_article.html", found=found, lot=found.lot, shop=find_shop(db.session))


@bp.get("/lots/<int:lot_id>/first-article/file")
@allowed(*EVERYONE)
def first_article_file(lot_id: int) -> Response:
    """Send the first article report as a table."""
    found = queries.first_article(db.session, lot_id)
    sent = Response(csv_file(*queries.first_article_lines(found)), mimetype="text/csv; charset=utf-8")
    sent.headers.set("Content-Disposition", "attachment", filename=f"{found.number}.csv")
    return sent
