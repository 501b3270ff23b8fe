"""The page on which owners say when and where paper files and backups are written."""

from flask import Blueprint, abort, current_app, url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, db
from app.people.models import Role
from app.safekeeping import queries, services
from app.safekeeping.forms import BackupForm, PaperForm
from app.safekeeping.models import Kept
from app.shared.clock import current_time
from app.shared.errors import RefusedError
from app.shared.web import render, see_other, wants_fragment

bp = Blueprint("safekeeping", __name__)


@bp.get("/safekeeping")
@allowed(Role.OWNER)
def safekeeping() -> Response:
    """Show how both stand and what was chosen."""
    return _page()


@bp.get("/safekeeping/<kept>")
@allowed(Role.OWNER)
def results(kept: str) -> Response:
    """Show how one of the two stands, for a poll while it is being written."""
    row = queries.get_safekeeping(db.session, _kept(kept))
    if not wants_fragment():
        return see_other(url_for("safekeeping.safekeeping"))
    return render("safekeeping/_results.html", row=row, now=current_time())


@bp.post("/safekeeping/paper")
@allowed(Role.OWNER)
def change_paper() -> Response:
    """Change what is chosen for the paper files, or show the form again with what is wrong."""
    form = PaperForm(prefix="paper-")
    return _change(form) or _page(paper_form=form, status=422)


@bp.post("/safekeeping/backup")
@allowed(Role.OWNER)
def change_backup() -> Response:
    """Change what is chosen for the backup, or show the form again with what is wrong."""
    form = BackupForm(prefix="backup-")
    return _change(form) or _page(backup_form=form, status=422)


@bp.post("/safekeeping/<kept>/now")
@allowed(Role.OWNER)
def ask_for_one(kept: str) -> Response:
    """Ask the keeper to write one now."""
    services.ask_for_one(db.session, _kept(kept), current_time())
    return see_other(url_for("safekeeping.safekeeping", _anchor=kept))


def _change(form: PaperForm | BackupForm) -> Response | None:
    if not form.validate():
        return None
    wanted = form.to_wanted()
    try:
        services.change_safekeeping(db.session, wanted, current_time())
    except RefusedError as refused:
        form.put_refused(refused)
        return None
    return see_other(url_for("safekeeping.safekeeping", _anchor=wanted.kept.value))


def _page(*, paper_form: PaperForm | None = None, backup_form: BackupForm | None = None, status: int = 200) -> Response:
    standing = queries.standing(db.session, current_time())
    return render(
        "safekeeping/safekeeping.html",
        standing=standing,
        now=standing.now,
        paper_form=paper_form or PaperForm.showing(standing.paper),
        backup_form=backup_form or BackupForm.showing(standing.backup),
        one_disk=queries.on_one_disk([standing.backup.folder, current_app.config["DATA_FOLDER"]]),
        status=status,
    )


def _kept(name: str) -> Kept:
    try:
        return Kept(name)
    except ValueError:
        abort(404)
