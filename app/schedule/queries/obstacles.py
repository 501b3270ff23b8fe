"""What keeps a lot from being planned: in words, made when they are shown, and where it can be mended."""

from collections.abc import Mapping
from enum import StrEnum
from typing import Any

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.planning.obstacles import Figure, Obstacle, ObstacleKind
from app.lots.models import Lot, LotOperation
from app.schedule.models import LotForecast, Outlook
from app.schedule.queries.blanks import Promised
from app.shared.words import gettext, ngettext
from app.stations.queries import get_station


def stored_obstacle_words(kept: Mapping[str, Any]) -> str:
    """Return the sentence for an obstacle as ``LotForecast.obstacle`` keeps it."""
    figure = Figure(kept["figure"]) if kept["figure"] else None
    return obstacle_words(Obstacle(**{**kept, "kind": ObstacleKind(kept["kind"]), "figure": figure}))


def obstacle_words(obstacle: Obstacle) -> str:
    """Return one sentence on why pieces go no further, with the operation where they stop."""
    if obstacle.figure is not None:
        said = _figure(obstacle.kind, obstacle.figure, obstacle.number)
    else:
        said = (_hours(obstacle.what) | _pieces(obstacle) | _mistakes(obstacle))[obstacle.kind]
    if not obstacle.operation:
        return said
    return gettext("Operation %(operation)s: %(reason)s", operation=obstacle.operation, reason=said)


def no_date_words(obstacle: Obstacle | None) -> str:
    """Say why nobody can promise a date."""
    return gettext("No date can be said. %(reason)s", reason=obstacle_words(obstacle) if obstacle else "")


def _hours(what: str) -> dict[ObstacleKind, str]:
    """Say what is missing of stations and their open hours; ``what`` names the stations or the work center."""
    nowhere = gettext("there is no station in %(work_center)s.", work_center=what)
    return {
        ObstacleKind.NO_OPENING: gettext("its stations do not open again."),
        ObstacleKind.TOO_FEW_HOURS: gettext(
            "its stations do not have the open hours for it within ten years. Check its time and its pieces too."
        ),
        ObstacleKind.NEVER_FITS: gettext(
            "it must end before its station closes, and is longer than any of its open hours."
        ),
        ObstacleKind.SETUP_NEVER_FITS: gettext(
            "it must end before its station closes, and with its set-up it is longer than any of its open hours. "
            "It fits only after work of the same family or fixture: put it behind such work, shorten its set-up, "
            "or let the station pause over closed hours."
        ),
        ObstacleKind.NO_PERSON: gettext(
            "no shift has the people to set it up or to tend it while its stations are open."
        ),
        ObstacleKind.NO_RECEIVING: gettext("the shop has no receiving hours for what comes back."),
        ObstacleKind.TOO_FAR_AHEAD: gettext("it could not be done within ten years. Check its dates."),
        ObstacleKind.NO_SUCH_STATION: gettext("none of these is a station in use: %(stations)s.", stations=what),
        ObstacleKind.EMPTY_WORK_CENTER: nowhere if what else gettext("it names no work center."),
    }


def _pieces(obstacle: Obstacle) -> dict[ObstacleKind, str]:
    """Say what keeps the pieces themselves."""
    hold, pieces = obstacle.what.rstrip(". "), obstacle.number
    held = gettext("On hold: %(reason)s.", reason=hold) if hold else gettext("On hold.")
    return {
        ObstacleKind.LOT_HELD: held,
        ObstacleKind.PIECES_HELD: ngettext("%(num)d piece is on hold.", "%(num)d pieces are on hold.", pieces),
        ObstacleKind.BLANKS_NOT_ORDERED: ngettext(
            "%(num)d blank is not on order.", "%(num)d blanks are not on order.", pieces
        ),
        ObstacleKind.BLANKS_TOO_LATE: ngettext(
            "%(num)d blank is expected in more than ten years. Check the day it is expected.",
            "%(num)d blanks are expected in more than ten years. Check the day they are expected.",
            pieces,
        ),
        ObstacleKind.LOTS_IN_A_LOOP: ngettext(
            "lot %(lots)s waits for itself. Take it out of its own components.",
            "the lots %(lots)s wait for each other: each for the next, the last for the first. "
            "Take one of these components out.",
            obstacle.number,
            lots=obstacle.what,
        ),
        ObstacleKind.COMPONENT_MISSING: gettext("waiting for component %(part)s.", part=obstacle.what),
        ObstacleKind.LOT_NOT_FINISHED: gettext("waiting for lot %(lot)s, which cannot be finished.", lot=obstacle.what),
    }


def _mistakes(obstacle: Obstacle) -> dict[ObstacleKind, str]:
    """Say what makes no sense in the routing or the lot, so that somebody can mend it."""
    return {
        ObstacleKind.SAME_KEY_TWICE: gettext("two operations have this number."),
        ObstacleKind.NEGATIVE_COUNT: gettext("a count of pieces is below zero."),
        ObstacleKind.JOB_WITHOUT_PIECES: gettext("a job is under way without pieces."),
        ObstacleKind.JOB_ELSEWHERE: gettext(
            "a job is under way at %(station)s, which is no station of this shop.", station=obstacle.what
        ),
        ObstacleKind.WEIGHT_NOT_KNOWN: gettext("its batch is bounded by weight, but a piece's weight is not known."),
        ObstacleKind.PIECE_TOO_HEAVY: gettext(
            "a piece of %(grams)s g is too heavy for a batch of at most %(most)s g.",
            grams=obstacle.number,
            most=obstacle.most,
        ),
    }


_IN_MS = {Figure.CYCLE_TIME, Figure.BATCH_TIME}
"""Of the figures that must be above zero, those that are times."""


def _figure(kind: ObstacleKind, figure: Figure, number: int) -> str:
    names = {
        Figure.SETUP_TIME: gettext("the set-up time"),
        Figure.FIXTURE_SETUP_TIME: gettext("the set-up time behind the same fixture"),
        Figure.CYCLE_TIME: gettext("the cycle time"),
        Figure.LOAD_TIME: gettext("the loading time"),
        Figure.UNLOAD_TIME: gettext("the unloading time"),
        Figure.BAR_CHANGE_TIME: gettext("the bar change time"),
        Figure.BATCH_TIME: gettext("the time of a batch"),
        Figure.LEAD_TIME: gettext("the lead time"),
        Figure.LOAD_PIECES: gettext("the number of pieces in a load"),
        Figure.BAR_PIECES: gettext("the number of pieces from a bar"),
        Figure.BATCH_PIECES: gettext("the number of pieces in a batch"),
        Figure.EXPECTED_PIECES: gettext("the number of pieces expected"),
        Figure.SEND_AHEAD_PIECES: gettext("the number of pieces to send ahead"),
    }
    if kind is ObstacleKind.FIGURE_BELOW_ZERO:
        return gettext("%(figure)s is below zero.", figure=names[figure])
    shown = gettext("%(number)s ms", number=number) if number and figure in _IN_MS else number
    return gettext("%(figure)s must be above zero, not %(number)s.", figure=names[figure], number=shown)


class Mend(StrEnum):
    """Where what stands in the way can be mended."""

    HOURS = "hours"
    PEOPLE = "people"
    MATERIAL = "material"
    RELEASE = "release"
    LOT = "lot"


_MENDED_AT = {
    ObstacleKind.NO_OPENING: Mend.HOURS,
    ObstacleKind.TOO_FEW_HOURS: Mend.HOURS,
    ObstacleKind.NEVER_FITS: Mend.HOURS,
    ObstacleKind.SETUP_NEVER_FITS: Mend.HOURS,
    ObstacleKind.NO_RECEIVING: Mend.HOURS,
    ObstacleKind.NO_SUCH_STATION: Mend.HOURS,
    ObstacleKind.EMPTY_WORK_CENTER: Mend.HOURS,
    ObstacleKind.NO_PERSON: Mend.PEOPLE,
    ObstacleKind.BLANKS_NOT_ORDERED: Mend.MATERIAL,
    ObstacleKind.BLANKS_TOO_LATE: Mend.MATERIAL,
    ObstacleKind.COMPONENT_MISSING: Mend.MATERIAL,
}


def mended_at(forecast: LotForecast) -> Mend | None:
    """Return where what keeps a lot from being planned can be mended: on the lot where nowhere else."""
    if forecast.obstacle is None:
        return None
    if any(wait.get("promised") == Promised.NOT_RELEASED for wait in forecast.waits):
        return Mend.RELEASE
    if any(wait.get("promised") == Promised.NO_FINISH for wait in forecast.waits):
        return Mend.LOT
    return _MENDED_AT.get(ObstacleKind(forecast.obstacle["kind"]), Mend.LOT)


def awaits_order(forecast: LotForecast) -> bool:
    """Say whether a lot lacks what stands among the material to order."""
    if forecast.obstacle is None:
        return False
    unordered = any(wait.get("promised") == Promised.NOT_ORDERED for wait in forecast.waits)
    return unordered or forecast.obstacle["kind"] == ObstacleKind.BLANKS_NOT_ORDERED


def stopped_until_mended(session: orm.Session, place: Mend) -> list[tuple[Lot, str]]:
    """Return the lots that cannot be planned until stations or people are mended at a place, and why; one statement."""
    rows = session.scalars(_stopped().order_by(Lot.number))
    return [
        (forecast.lot, stored_obstacle_words(forecast.obstacle))
        for forecast in rows
        if forecast.obstacle and mended_at(forecast) is place
    ]


def stopped_at(session: orm.Session, station_id: int) -> list[tuple[Lot, str]]:
    """Return the lots that cannot be planned because of a station's work center or its hours, and why; two statements.

    Raises:
        StationNotFoundError: no such station.
    """
    station = get_station(session, station_id)
    rows = session.execute(
        _stopped()
        .add_columns(LotOperation.number)
        .join(LotOperation, LotOperation.lot_id == Lot.id)
        .where(LotOperation.work_center_id == station.work_center_id, ~LotOperation.skipped)
        .order_by(Lot.number, LotOperation.number)
    )
    return [
        (forecast.lot, stored_obstacle_words(forecast.obstacle))
        for forecast, number in rows
        if forecast.obstacle and forecast.obstacle["operation"] == str(number)
    ]


def _stopped() -> sa.Select[LotForecast]:
    """Select the open lots for which there is no station, or no hours or people at it."""
    return (
        sa.select(LotForecast)
        .join(LotForecast.lot)
        .where(Lot.closed_at.is_(None), LotForecast.outlook.in_([Outlook.NO_STATION, Outlook.NO_OPEN_HOURS]))
        .options(orm.contains_eager(LotForecast.lot))
    )
