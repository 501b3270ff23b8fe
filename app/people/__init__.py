"""People of the shop: their roles, passwords for the office, badges and PINs for the floor."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from flask import Flask


def init_app(app: "Flask") -> None:
    """Register the area's pages, and how the signed-in person is found."""
    # Imported here because models can be used without the web.
    from app.extensions import db, sign_in  # noqa: PLC0415
    from app.people import queries  # noqa: PLC0415
    from app.people.views import bp  # noqa: PLC0415

    app.register_blueprint(bp)
    sign_in.person_loader(lambda person_id: queries.signed_in_person(db.session, person_id))
