"""Why pieces are scrap, held or sent back: the usual reasons, which the shop keeps, as keys, or own words."""

from collections.abc import Iterable
from typing import Any

from wtforms.fields import RadioField
from wtforms.validators import Length

from app.shared.fields import LineField
from app.shared.words import lazy_gettext as _

LONGEST_REASON = 200


class ReasonKeys(RadioField):
    """The usual reasons, of which none has to be chosen."""

    def __init__(self, label: Any = None, **options: Any) -> None:
        super().__init__(label or _("Why"), validate_choice=False, default="", **options)

    def offer(self, reasons: Iterable[str]) -> None:
        """Show the usual reasons."""
        self.choices = [(each, each) for each in reasons]


def own_words() -> Any:
    """Return the field for a reason that is not among the usual ones."""
    return LineField(_("Or in your own words"), [Length(max=LONGEST_REASON, message=_("Use 200 characters or fewer."))])


def chosen_reason(keys: ReasonKeys, words: LineField) -> str:
    """Return the reason as given: own words before the chosen key."""
    return str(words.data or keys.data or "")
