"""What the app is told of people when it is put together."""

from flask import Flask

from app.extensions import db, sign_in
from app.people import queries
from app.people.views import bp


def init_app(app: Flask) -> None:
    """Register the area's pages, and how the signed-in person is found."""
    app.register_blueprint(bp)
    sign_in.person_loader(lambda person_id: queries.signed_in_person(db.session, person_id))
