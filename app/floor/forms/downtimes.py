"""Forms about a station that is down: why, when it is back, and where the lots behind it go."""

from wtforms import HiddenField, IntegerField
from wtforms.fields import RadioField
from wtforms.validators import Length, Optional, ValidationError

from app.floor.forms.reasons import LONGEST_REASON
from app.floor.forms.sent import SentForm
from app.shared.fields import LineField
from app.shared.moment_field import MomentField
from app.shared.words import gettext, moment
from app.shared.words import lazy_gettext as _
from app.stations.queries import TYPED, Guess, QuickGuess, guess_for

_LENGTH = Length(max=LONGEST_REASON, message=_("Use 200 characters or fewer."))


class OfficeForm(SentForm):
    """What is said of a station, at the station or from the office."""

    office = HiddenField()


class GuessForm(OfficeForm):
    """When a station that is down is thought to be back: one of the quick guesses, or a day and time."""

    about = RadioField(_("Back again"), validate_choice=False, default="1h")
    back_at = MomentField(_("Or at a day and time"), [Optional()])

    def offer(self, quick: list[QuickGuess]) -> None:
        """Show the guesses of one tap."""
        self.quick = quick
        self.about.choices = [
            (each.key, f"{each.label}, {moment(each.until)}" if each.key != "1h" else each.label) for each in quick
        ]

    def guess(self) -> Guess:
        """Return the guess; a day and time that was typed goes before a choice. Call only after ``offer()``.

        Raises:
            NoSuchGuessError: nothing was chosen, or what the shifts do not give.
        """
        typed = self.back_at.data
        return guess_for(self.quick, TYPED if typed else str(self.about.data or ""), typed)


class DownForm(GuessForm):
    """Why a station is down: a usual reason, or own words, which go before it."""

    reason = LineField("", [Optional(), _LENGTH])
    words = LineField(_("Or in your own words"), [_LENGTH])

    @property
    def why(self) -> str:
        """Return the reason as given."""
        return self.words.data or self.reason.data or ""

    def validate_words(self, _field: LineField) -> None:
        """Ask for a reason."""
        if not self.why:
            raise ValidationError(gettext("Say why: choose or write a reason."))


class MoveForm(OfficeForm):
    """Where a lot goes instead, and why."""

    to = IntegerField()
    reason = LineField(_("Why they go elsewhere"), [Optional(), _LENGTH])
