"""Pages about people, and signing in to the office."""

from flask import Blueprint, flash, request, url_for
from werkzeug.wrappers import Response

from app import extensions
from app.core import code128
from app.extensions import allowed, db, open_to_all
from app.people import queries, services
from app.people.errors import LastOwnerError, LockedError, WrongPasswordError
from app.people.forms import OwnPasswordForm, OwnPinForm, PersonForm, SignInForm
from app.people.models import EVERYONE, OFFICE, Role
from app.shared.clock import current_time
from app.shared.errors import RefusedError
from app.shared.qr import qr_svg
from app.shared.web import render, see_other, typed_page
from app.shared.words import gettext

bp = Blueprint("people", __name__)


@bp.get("/sign-in")
@open_to_all
def sign_in_page() -> Response:
    """Ask for a name and a password; ``?to=`` is the page to go on to."""
    return render("people/sign_in.html", form=SignInForm(data={"to": request.args.get("to", "")}))


@bp.post("/sign-in")
@open_to_all
def sign_in() -> Response:
    """Sign a person in and go on to the page they asked for."""
    form = SignInForm()
    if not form.validate():
        return render("people/sign_in.html", form=form, status=422)
    try:
        person = services.check_password(db.session, form.name.data or "", form.password.data or "", current_time())
    except (WrongPasswordError, LockedError) as error:
        form.put_error("password", error)
        return render("people/sign_in.html", form=form, status=422)
    extensions.sign_in.begin(person)
    return see_other(form.destination())


@bp.post("/sign-out")
@open_to_all
def sign_out() -> Response:
    """Sign out of the office."""
    extensions.sign_in.end()
    return see_other(url_for("people.sign_in_page"))


@bp.get("/your-sign-in")
@allowed(*EVERYONE)
def own_sign_in() -> Response:
    """Let a person change their own password or PIN."""
    return _own_page(OwnPasswordForm(), OwnPinForm())


@bp.post("/your-sign-in/password")
@allowed(*EVERYONE)
def change_own_password() -> Response:
    """Change the own password, which signs out wherever else one is signed in."""
    form = OwnPasswordForm()
    if not form.validate():
        return _own_page(form, OwnPinForm(formdata=None), 422)
    person_id, old, new = extensions.sign_in.person.id, form.old_password.data or "", form.password.data or ""
    try:
        person = services.change_own_password(db.session, person_id, old, new, current_time())
    except RefusedError as refused:
        form.put_refused(refused)
        return _own_page(form, OwnPinForm(formdata=None), 422)
    extensions.sign_in.begin(person)
    flash(gettext("Your password is changed. Wherever else you were signed in, you are signed out."), "note")
    return see_other(url_for("people.own_sign_in"))


@bp.post("/your-sign-in/pin")
@allowed(*EVERYONE)
def change_own_pin() -> Response:
    """Change the own PIN; stations ask for it with the next badge."""
    form = OwnPinForm()
    if not form.validate():
        return _own_page(OwnPasswordForm(formdata=None), form, 422)
    person_id, old, new = extensions.sign_in.person.id, form.old_pin.data or "", form.pin.data or ""
    try:
        services.change_own_pin(db.session, person_id, old, new, current_time())
    except RefusedError as refused:
        form.put_refused(refused)
        return _own_page(OwnPasswordForm(formdata=None), form, 422)
    flash(gettext("Your PIN is changed. Stations ask for it with your next badge."), "note")
    return see_other(url_for("people.own_sign_in"))


def _own_page(password_form: OwnPasswordForm, pin_form: OwnPinForm, status: int = 200) -> Response:
    return render("people/own.html", password_form=password_form, pin_form=pin_form, status=status)


@bp.get("/people")
@allowed(*EVERYONE)
def people() -> Response:
    """Show everybody who works or worked here."""
    return render("people/people.html", found=queries.people_page(db.session, typed_page()))


@bp.get("/people/badges")
@allowed(*OFFICE)
def badges() -> Response:
    """Show a sheet of badges to print: everybody's, or those of the people named by ``?person=``."""
    chosen = request.args.getlist("person", type=int)
    wearers = [person for person in queries.active_people(db.session) if person.badge_number]
    wearers = [person for person in wearers if not chosen or person.id in chosen]
    return render("people/badges.html", wearers=wearers, bars=code128.svg, qr=qr_svg)


@bp.get("/people/new")
@allowed(Role.OWNER)
def new_person() -> Response:
    """Ask for a new person."""
    return render("people/new.html", form=PersonForm(data={"roles": [Role.OPERATOR]}))


@bp.post("/people")
@allowed(Role.OWNER)
def add_person() -> Response:
    """Add a person, or show the form again with what is wrong."""
    form = PersonForm()
    if not form.validate():
        return render("people/new.html", form=form, status=422)
    try:
        services.add_person(db.session, form.to_input())
    except RefusedError as refused:
        form.put_refused(refused)
        return render("people/new.html", form=form, status=422)
    return see_other(url_for("people.people"))


@bp.get("/people/<int:person_id>/edit")
@allowed(Role.OWNER)
def edit_person(person_id: int) -> Response:
    """Show what is known of a person, to change."""
    person = queries.get_person(db.session, person_id)
    form = PersonForm(data={"name": person.name, "initials": person.initials, "roles": person.sorted_roles})
    return _edit_page(person_id, form)


@bp.post("/people/<int:person_id>")
@allowed(Role.OWNER)
def change_person(person_id: int) -> Response:
    """Change a person, or show the form again with what is wrong."""
    form = PersonForm()
    if not form.validate():
        return _edit_page(person_id, form, status=422)
    try:
        person = services.change_person(db.session, person_id, form.to_input(), current_time())
    except RefusedError as refused:
        form.put_refused(refused)
        return _edit_page(person_id, form, status=422)
    if extensions.sign_in.person.id == person_id:
        extensions.sign_in.begin(person)
    return see_other(url_for("people.people"))


@bp.post("/people/<int:person_id>/deactivate")
@allowed(Role.OWNER)
def deactivate_person(person_id: int) -> Response:
    """Take a person off the active list, or say why that cannot be."""
    try:
        services.deactivate_person(db.session, person_id)
    except LastOwnerError as error:
        person = queries.get_person(db.session, person_id)
        kept = {"name": person.name, "initials": person.initials, "roles": person.sorted_roles}
        return _edit_page(person_id, PersonForm(formdata=None, data=kept), status=422, refusal=str(error))
    return see_other(url_for("people.people"))


@bp.post("/people/<int:person_id>/activate")
@allowed(Role.OWNER)
def activate_person(person_id: int) -> Response:
    """Put a person back on the active list."""
    services.activate_person(db.session, person_id)
    return see_other(url_for("people.edit_person", person_id=person_id))


@bp.post("/people/<int:person_id>/badge")
@allowed(Role.OWNER)
def renew_badge(person_id: int) -> Response:
    """Give a person a new badge number and show the badge to print."""
    services.renew_badge(db.session, person_id)
    return see_other(url_for("people.badges", person=person_id))


@bp.post("/people/<int:person_id>/unlock")
@allowed(Role.OWNER)
def unlock_person(person_id: int) -> Response:
    """End the lock that failed tries brought."""
    services.unlock_person(db.session, person_id, current_time())
    return see_other(url_for("people.edit_person", person_id=person_id))


def _edit_page(person_id: int, form: PersonForm, status: int = 200, refusal: str = "") -> Response:
    person = queries.get_person(db.session, person_id)
    last = queries.last_sign_in(db.session, person)
    return render("people/edit.html", form=form, person=person, last=last, refusal=refusal, status=status)
