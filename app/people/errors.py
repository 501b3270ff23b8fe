"""What can be refused about people and signing in, in sentences fit for a person."""

from datetime import datetime

from app.shared.errors import NotFoundError, PlainError
from app.shared.words import clock_time, gettext, ngettext


class PersonNotFoundError(NotFoundError):
    """There is no such person."""

    def __init__(self) -> None:
        super().__init__(gettext("There is no such person. Choose one from the list of people."))


class NameLengthError(PlainError):
    """A name is one line of a badge."""

    def __init__(self, most: int) -> None:
        super().__init__(gettext("A name has 1 to %(most)s characters.", most=most))


class InitialsLengthError(PlainError):
    """Initials fit the small box on a traveler."""

    def __init__(self, most: int) -> None:
        super().__init__(gettext("Initials have 1 to %(most)s letters.", most=most))


class NameTakenError(PlainError):
    """Two people would have the same name."""

    def __init__(self, name: str, *, active: bool) -> None:
        super().__init__(
            gettext("There is already a person called %(name)s. Add something that tells them apart.", name=name)
            if active
            else gettext("%(name)s is on the list, not active. Make that person active again instead.", name=name)
        )


class InitialsTakenError(PlainError):
    """Two people would sign with the same initials."""

    def __init__(self, initials: str, name: str) -> None:
        super().__init__(
            gettext("%(name)s already signs with %(initials)s. Choose other initials.", name=name, initials=initials)
        )


class NoRoleError(PlainError):
    """A person without a role could do nothing."""

    def __init__(self) -> None:
        super().__init__(gettext("Choose at least one role."))


class LastOwnerError(PlainError):
    """The shop would be left without an owner, and nobody could ever make one again."""

    def __init__(self, name: str) -> None:
        super().__init__(
            gettext(
                "%(name)s is the only active owner and has to stay one. Make another person an owner first.", name=name
            )
        )


class PasswordNeededError(PlainError):
    """An owner without a password could not sign in."""

    def __init__(self) -> None:
        super().__init__(gettext("An owner needs a password for the office. Type one."))


class PasswordTooShortError(PlainError):
    """The password is too easy to guess."""

    def __init__(self, least: int) -> None:
        super().__init__(
            gettext("The password is too short. Use %(least)s characters or more; a few words do.", least=least)
        )


class PinShapeError(PlainError):
    """A PIN is a few digits, so that it can be typed with gloves on."""

    def __init__(self) -> None:
        super().__init__(gettext("A PIN is 4 to 8 digits, such as 7305."))


class WrongPasswordError(PlainError):
    """The name is unknown or the password wrong; which of the two is not told."""

    def __init__(self) -> None:
        super().__init__(
            gettext(
                "The name or the password is not right. Five wrong passwords in a row lock a person for five minutes."
            )
        )


class WrongOldPasswordError(PlainError):
    """The password somebody has now was typed wrong."""

    def __init__(self, tries_left: int) -> None:
        super().__init__(
            ngettext(
                "That is not your password now. One more try before five minutes' wait.",
                "That is not your password now. %(num)d more tries before five minutes' wait.",
                tries_left,
            )
        )


class LockedError(PlainError):
    """The person failed too often and has to wait."""

    def __init__(self, name: str, until: datetime) -> None:
        self.until = until
        super().__init__(
            gettext(
                "Five wrong tries in a row: %(name)s is locked until %(until)s. Wait, or ask an owner to unlock.",
                name=name,
                until=clock_time(until),
            )
        )


class UnknownBadgeError(PlainError):
    """No active person has this badge."""

    def __init__(self) -> None:
        super().__init__(gettext("This badge belongs to nobody here now. Ask an owner for a new badge."))


class NoPinError(PlainError):
    """The person has a badge and no PIN yet."""

    def __init__(self, name: str) -> None:
        super().__init__(gettext("%(name)s has no PIN yet. An owner sets one under People.", name=name))


class WrongPinError(PlainError):
    """The PIN is wrong."""

    def __init__(self, tries_left: int) -> None:
        self.tries_left = tries_left
        super().__init__(
            ngettext(
                "That PIN is not right. One more try before five minutes' wait.",
                "That PIN is not right. %(num)d more tries before five minutes' wait.",
                tries_left,
            )
        )
