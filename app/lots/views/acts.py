"""The circumstances of a change made in the office."""

from app.extensions import sign_in
from app.lots.services import Act
from app.shared.clock import current_time
from app.shared.web import KeyedForm


def office_act(form: KeyedForm) -> Act:
    """Return who makes this change now, with the form's key."""
    now = current_time()
    return Act(key=form.client_key(), happened_at=now, recorded_at=now, person_id=sign_in.person.id)
