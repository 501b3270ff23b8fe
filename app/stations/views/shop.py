"""The page that sets up the shop, and its settings."""

from zoneinfo import ZoneInfo

from flask import current_app, g, request, url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, db, open_to_all, sign_in
from app.people import queries as people_queries
from app.people.models import EVERYONE, Role
from app.shared.errors import RefusedError
from app.shared.web import render, see_other
from app.shared.words import use_zone
from app.stations import queries, services
from app.stations.errors import AlreadySetUpError
from app.stations.forms import SettingsForm, SetupForm
from app.stations.views.blueprint import bp

_SET_UP = {"stations.setup", "stations.set_up", "static"}


def know_the_shop() -> Response | None:
    """Show this request's times in the shop's zone; before there is a shop and an owner, lead to the page for both.

    What is sent from a page that was shown needs no leading, and most of it, such as a sign-off, no times.
    """
    if request.endpoint == "static":
        return None
    use_zone(_zone)
    if request.method == "POST":
        return None
    # Kept for the request: the session forgets a row that nobody holds, and would read it again.
    g.shop = queries.find_shop(db.session)
    if (
        g.shop is None
        and request.endpoint not in _SET_UP
        and sign_in.person is None
        and not people_queries.has_owner(db.session)
    ):
        return see_other(url_for("stations.setup"))
    return None


def _zone() -> ZoneInfo | None:
    shop = queries.find_shop(db.session)
    return ZoneInfo(shop.time_zone) if shop is not None else None


@bp.get("/setup")
@open_to_all
def setup() -> Response:
    """Ask for the shop and its first owner; closed as soon as there is an owner."""
    if people_queries.has_owner(db.session):
        raise AlreadySetUpError
    return render("stations/setup.html", form=SetupForm())


@bp.post("/setup")
@open_to_all
def set_up() -> Response:
    """Make the shop and its first owner, and sign them in."""
    form = SetupForm()
    if not form.validate():
        return render("stations/setup.html", form=form, status=422)
    steps = current_app.extensions["lotwright_setup_steps"]
    try:
        owner = services.set_up_shop(db.session, form.to_settings(), form.to_owner(), steps)
    except RefusedError as refused:
        form.put_refused(refused)
        return render("stations/setup.html", form=form, status=422)
    sign_in.begin(owner)
    return see_other(url_for("stations.stations"))


@bp.get("/shop")
@allowed(*EVERYONE)
def shop() -> Response:
    """Show the settings of the shop, to change where the role allows it."""
    return render("stations/shop.html", form=SettingsForm.showing(queries.find_shop(db.session)))


@bp.post("/shop")
@allowed(Role.OWNER)
def change_shop() -> Response:
    """Change the settings of the shop, or show the form again with what is wrong."""
    form = SettingsForm()
    if not form.validate():
        return render("stations/shop.html", form=form, status=422)
    try:
        services.change_shop(db.session, form.to_settings())
    except RefusedError as refused:
        form.put_refused(refused)
        return render("stations/shop.html", form=form, status=422)
    return see_other(url_for("stations.shop"))
