"""What can be refused about the shop, its stations and their hours, in sentences fit for a person."""

from datetime import datetime

from app.shared.errors import NotFoundError, PlainError
from app.shared.words import gettext, moment


class NoShopError(PlainError):
    """The shop settings were never filled in."""

    def __init__(self) -> None:
        super().__init__(gettext("The shop is not set up yet. An owner fills in the page Shop settings first."))


class AlreadySetUpError(PlainError):
    """There is an owner already: the page that makes the first one is closed."""

    def __init__(self) -> None:
        super().__init__(gettext("This shop has an owner already. Sign in; owners add people under People."))


class ReasonNotFoundError(NotFoundError):
    """There is no such usual reason."""

    def __init__(self) -> None:
        super().__init__(gettext("There is no such reason. Look at the page Reasons again."))


class ReasonKnownError(PlainError):
    """The reason is offered already."""

    def __init__(self, words: str) -> None:
        super().__init__(gettext("%(words)s is offered already.", words=words))


class WorkCenterNotFoundError(NotFoundError):
    """There is no such work center."""

    def __init__(self) -> None:
        super().__init__(gettext("There is no such work center. Choose one on the page Stations."))


class StationNotFoundError(NotFoundError):
    """There is no such station."""

    def __init__(self) -> None:
        super().__init__(gettext("There is no such station. Choose one on the page Stations."))


class StretchNotFoundError(NotFoundError):
    """There is no such overtime or downtime; somebody may have removed it."""

    def __init__(self) -> None:
        super().__init__(gettext("This entry is gone: somebody removed it. Look at the station's page again."))


class UnknownZoneError(PlainError):
    """The time zone is none of the IANA database."""

    def __init__(self, name: str) -> None:
        super().__init__(gettext("%(name)s is no time zone. Choose one such as America/Chicago.", name=name))


class UnknownCountryError(PlainError):
    """No closed days are known for the country."""

    def __init__(self) -> None:
        super().__init__(gettext("No holidays are known for this country. Choose another, or add closed days by hand."))


class UnknownStateError(PlainError):
    """The state or province does not belong to the country."""

    def __init__(self, state: str, known: list[str]) -> None:
        known_ones = ", ".join(known)
        super().__init__(
            gettext("%(state)s is none of this country's: %(known_ones)s.", state=state, known_ones=known_ones)
            if known
            else gettext("No states are known for this country. Leave this empty.")
        )


class WorkCenterNameTakenError(PlainError):
    """Two work centers would have the same name."""

    def __init__(self, name: str) -> None:
        super().__init__(gettext("There is already a work center called %(name)s.", name=name))


class CrewNameTakenError(PlainError):
    """Two shifts would have the same name."""

    def __init__(self, name: str) -> None:
        super().__init__(gettext("There is already a shift called %(name)s.", name=name))


class CrewNotFoundError(NotFoundError):
    """There is no such shift any more."""

    def __init__(self) -> None:
        super().__init__(gettext("This shift is gone: somebody removed it. Look at the people of each shift again."))


class NobodyToMoveError(PlainError):
    """A shift has nobody left of those who would move."""

    def __init__(self, name: str) -> None:
        super().__init__(
            gettext(
                "The shift %(name)s has nobody left who could be moved. Look at the people of each shift.", name=name
            )
        )


class StationNameTakenError(PlainError):
    """Two stations would have the same name."""

    def __init__(self, name: str, *, active: bool) -> None:
        super().__init__(
            gettext("There is already a station called %(name)s.", name=name)
            if active
            else gettext("%(name)s is a station out of use. Put it to use again instead.", name=name)
        )


class ShiftOverlapError(PlainError):
    """Two shifts of a week overlap; ``place`` is the position of the later one among those given, from 0."""

    def __init__(self, place: int, other: str) -> None:
        self.place = place
        super().__init__(gettext("This overlaps the shift %(other)s.", other=other))


class OvertimeOverlapError(PlainError):
    """The station has overtime for part of that time already."""

    def __init__(self, station: str, until: datetime) -> None:
        super().__init__(
            gettext(
                "%(station)s already has overtime until %(until)s. Change that one instead.",
                station=station,
                until=moment(until),
            )
        )


class DowntimeOverlapError(PlainError):
    """The station is down for part of that time already."""

    def __init__(self, station: str, until: datetime) -> None:
        super().__init__(
            gettext(
                "%(station)s is already down until %(until)s. Change that one instead.",
                station=station,
                until=moment(until),
            )
        )


class LongOvertimeError(PlainError):
    """Extra hours would go on for longer than anybody works at a stretch, so that another day or year was meant."""

    def __init__(self, days: int) -> None:
        super().__init__(
            gettext("Overtime lasts %(days)s days at most. Change the shifts if the hours are to stay.", days=days)
        )


class LongDowntimeError(PlainError):
    """A station would be down for so long that it counts as one that never opens again."""

    def __init__(self, days: int) -> None:
        super().__init__(
            gettext(
                "A station is down for %(days)s days at most. If it will not be back, take it out of use.", days=days
            )
        )


class AlreadyDownError(PlainError):
    """The station is down now and has to be back before it can go down again."""

    def __init__(self, station: str, since: datetime) -> None:
        super().__init__(gettext("%(station)s is down since %(since)s already.", station=station, since=moment(since)))


class NotDownError(PlainError):
    """The station is not down, so it cannot be back."""

    def __init__(self, station: str) -> None:
        super().__init__(gettext("%(station)s is not down. Somebody may have said it is back.", station=station))


class GuessPassedError(PlainError):
    """The guess of when a station is back lies in the past."""

    def __init__(self) -> None:
        super().__init__(gettext("That time has passed. Choose or type when you think it is back."))


class NoSuchGuessError(PlainError):
    """A quick choice that the station's shifts do not give, or none at all."""

    def __init__(self) -> None:
        super().__init__(gettext("Choose when you think it is back, or type a day and time."))


class SaidOtherwiseError(PlainError):
    """The same form was sent again with other content."""

    def __init__(self, kept: str) -> None:
        super().__init__(
            gettext(
                "This form was already recorded: %(kept)s. Open the page again to record something else.", kept=kept
            )
        )


class ServiceNotFoundError(NotFoundError):
    """There is no such planned service; somebody may have removed it."""

    def __init__(self) -> None:
        super().__init__(gettext("This service is not planned any more. Look at the station's page again."))


class NotDoneYetError(PlainError):
    """A service said to be done before it was last done."""

    def __init__(self, name: str, last: datetime) -> None:
        super().__init__(gettext("%(name)s was done %(last)s already.", name=name, last=moment(last)))


class NotOfTheCenterError(PlainError):
    """A station that belongs to another work center than the work."""

    def __init__(self, station: str, operation: str) -> None:
        super().__init__(
            gettext(
                "%(station)s is of another work center than %(operation)s. Choose a station of its own.",
                station=station,
                operation=operation,
            )
        )


class EndsBeforeStartError(PlainError):
    """The end is not after the start."""

    def __init__(self) -> None:
        super().__init__(gettext("It has to end after it starts."))


class DayClosedError(PlainError):
    """The day is a closed day already."""

    def __init__(self, day: str, name: str) -> None:
        super().__init__(gettext("%(day)s is closed already: %(name)s.", day=day, name=name))


class TooManyDaysError(PlainError):
    """A stretch of closed days is longer than anybody means."""

    def __init__(self, most: int) -> None:
        super().__init__(gettext("Close at most %(most)s days at once.", most=most))
