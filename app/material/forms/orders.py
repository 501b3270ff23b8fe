"""What is typed about a purchase that is already made."""

from datetime import date

from wtforms.validators import InputRequired

from app.shared.fields import DayField
from app.shared.web import Form
from app.shared.words import lazy_gettext as _l


class ExpectedForm(Form):
    """Change the day a line is expected on."""

    expected_on = DayField(_l("Expected"), [InputRequired(_l("Enter the day it is expected on now."))])

    def to_input(self) -> date:
        """Hand the service the day; call only after ``validate()``."""
        if self.expected_on.data is None:
            raise ValueError("validate first")
        return self.expected_on.data
