"""What is typed about people and to sign in."""

from typing import Any

from wtforms import HiddenField, PasswordField, SelectMultipleField, widgets
from wtforms.validators import DataRequired, Length

from app.people.models import Role
from app.people.services import NewPerson
from app.shared.fields import LineField
from app.shared.web import Form
from app.shared.words import lazy_gettext as _l


def _capitals(typed: str | None) -> str:
    return (typed or "").upper()


def _role(value: Any) -> Role:
    return value if isinstance(value, Role) else Role(str(value))


class PersonForm(Form):
    """Add or change a person."""

    name = LineField(
        _l("Name"),
        [DataRequired(_l("Enter the person's name.")), Length(max=80, message=_l("Use 80 characters or fewer."))],
        render_kw={"autocomplete": "off"},
    )
    initials = LineField(
        _l("Initials"),
        [DataRequired(_l("Enter one to four letters.")), Length(max=4, message=_l("Use four letters or fewer."))],
        filters=[_capitals],
        render_kw={"autocomplete": "off", "size": 4},
    )
    roles = SelectMultipleField(
        _l("Roles"),
        coerce=_role,
        widget=widgets.ListWidget(prefix_label=False),
        option_widget=widgets.CheckboxInput(),
    )
    password = PasswordField(
        _l("Password for the office"),
        [Length(max=200, message=_l("Use 200 characters or fewer."))],
        render_kw={"autocomplete": "new-password"},
    )
    pin = PasswordField(
        _l("PIN for the stations"),
        [Length(max=20, message=_l("A PIN is 4 to 8 digits, such as 7305."))],
        render_kw={"autocomplete": "off", "inputmode": "numeric"},
    )

    def __init__(self, **options: Any) -> None:
        super().__init__(**options)
        self.roles.choices = {role.value: role.word for role in Role}

    def to_input(self) -> NewPerson:
        """Hand the service typed values; call only after ``validate()``."""
        return NewPerson(
            name=self.name.data or "",
            initials=self.initials.data or "",
            roles=frozenset(self.roles.data or ()),
            password=self.password.data or "",
            pin=self.pin.data or "",
        )


class OwnPasswordForm(Form):
    """Change one's own password."""

    old_password = PasswordField(
        _l("Your password now"),
        [DataRequired(_l("Type the password you have now.")), Length(max=200, message=_l("That is no password here."))],
        render_kw={"autocomplete": "current-password"},
    )
    password = PasswordField(
        _l("New password"),
        [DataRequired(_l("Type a new password.")), Length(max=200, message=_l("Use 200 characters or fewer."))],
        render_kw={"autocomplete": "new-password"},
    )


class OwnPinForm(Form):
    """Change one's own PIN."""

    old_pin = PasswordField(
        _l("Your PIN now"),
        [DataRequired(_l("Type the PIN you have now."))],
        render_kw={"autocomplete": "off", "inputmode": "numeric"},
    )
    pin = PasswordField(
        _l("New PIN"),
        [DataRequired(_l("Type a new PIN."))],
        render_kw={"autocomplete": "off", "inputmode": "numeric"},
    )


class SignInForm(Form):
    """Sign in to the office."""

    name = LineField(
        _l("Name or initials"),
        [DataRequired(_l("Enter your name or your initials.")), Length(max=80, message=_l("That is no name here."))],
        render_kw={"autocomplete": "username", "autofocus": True},
    )
    password = PasswordField(
        _l("Password"),
        [DataRequired(_l("Enter your password.")), Length(max=200, message=_l("That is no password here."))],
        render_kw={"autocomplete": "current-password"},
    )
    to = HiddenField()

    def destination(self) -> str:
        """Return the page to go on to: what was asked for where it is one of ours, else the first page."""
        asked = self.to.data or ""
        # A browser takes // and /\ for another site's address, and drops tabs and line ends before it looks.
        ours = asked.startswith("/") and not asked.startswith("//") and "\\" not in asked and asked.isprintable()
        return asked if ours else "/"
