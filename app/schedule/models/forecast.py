"""The stored forecast."""

from datetime import datetime
from enum import StrEnum
from typing import Any

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Lot, LotOperation
from app.people.models import Person
from app.schedule.models.chances import LotChance
from app.shared.database import Model, PrimaryKey
from app.shared.words import gettext
from app.stations.models import Station


class Outlook(StrEnum):
    """What the forecast could say of a lot."""

    EXPECTED = "expected"
    HELD = "held"
    NO_BLANKS = "no blanks"
    NO_COMPONENTS = "no components"
    NO_STATION = "no station"
    NO_OPEN_HOURS = "no open hours"
    BAD_INPUT = "bad input"

    @property
    def word(self) -> str:
        """Return it as pages say it."""
        words = {
            Outlook.EXPECTED: gettext("On its way"),
            Outlook.HELD: gettext("On hold"),
            Outlook.NO_BLANKS: gettext("No blanks"),
            Outlook.NO_COMPONENTS: gettext("No components"),
            Outlook.NO_STATION: gettext("No station"),
            Outlook.NO_OPEN_HOURS: gettext("No open hours"),
            Outlook.BAD_INPUT: gettext("Cannot be planned"),
        }
        return words[self]


class Forecast(Model):
    """One row: the forecast that pages show, of which state of the shop it is and when it was computed."""

    __tablename__ = "forecast"
    __table_args__ = (sa.CheckConstraint("id = 1", name="one_row"),)

    id: orm.Mapped[PrimaryKey]
    change_number: orm.Mapped[int] = orm.mapped_column(sa.BigInteger)
    computed_at: orm.Mapped[datetime]
    """The present that the forecast begins at."""
    took_ms: orm.Mapped[int]


class LotForecast(Model):
    """What the forecast says of one open lot."""

    __tablename__ = "lot_forecast"

    lot_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("lot.id"), primary_key=True)
    outlook: orm.Mapped[Outlook]
    obstacle: orm.Mapped[dict[str, Any] | None] = orm.mapped_column(sa.JSON(none_as_null=True))
    """Where no finish can be expected: why, as ``app.core.planning.obstacles.Obstacle``."""
    finish_at: orm.Mapped[datetime | None]
    due_at: orm.Mapped[datetime | None]
    """The shipping cut-off of the day it must leave."""
    slack_seconds: orm.Mapped[int | None] = orm.mapped_column(sa.BigInteger)
    """Due less expected finish; negative: late."""
    late: orm.Mapped[bool] = orm.mapped_column(default=False)
    is_guess: orm.Mapped[bool] = orm.mapped_column(default=False)
    """The finish rests on a guessed date."""
    bare_finish_at: orm.Mapped[datetime | None]
    """For a late lot: its finish if nothing else were in the shop, no station down and all it takes here now.

    For one on hold, or that lacks what nobody can say the coming of: the same beside all such lots, on hold no more.
    """
    waits: orm.Mapped[list[dict[str, Any]]] = orm.mapped_column(sa.JSON)
    """The chain of reasons from now to the finish, each with its ``seconds``; they add up exactly."""
    lot: orm.Mapped[Lot] = orm.relationship()
    chance: orm.Mapped[LotChance | None] = orm.relationship(
        primaryjoin=lambda: orm.foreign(LotForecast.lot_id) == LotChance.lot_id, viewonly=True, lazy="joined"
    )
    """How likely it is late, by the last simulation; missing until there is one of this lot."""


class PinChange(Model):
    """A person pinned a lot by hand, moved it among the pinned ones, or took its pin away; never changed."""

    __tablename__ = "pin_change"

    id: orm.Mapped[PrimaryKey]
    lot_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("lot.id"), index=True)
    place: orm.Mapped[int | None]
    """Its place among the pinned lots from then on; none: its pin was taken away."""
    changed_at: orm.Mapped[datetime]
    changed_by_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("person.id"))
    changed_by: orm.Mapped[Person | None] = orm.relationship()


class PlannedRun(Model):
    """One stretch of one operation at a station, or outside, as the forecast plans it."""

    __tablename__ = "planned_run"
    __table_args__ = (sa.Index("ix_planned_run_station_start", "station_id", "start_at"),)

    id: orm.Mapped[PrimaryKey]
    operation_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("lot_operation.id"), index=True)
    station_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("station.id"))
    """Missing: blanks on their way, or work done by others."""
    start_at: orm.Mapped[datetime]
    end_at: orm.Mapped[datetime]
    setup_seconds: orm.Mapped[int]
    """Open seconds of set-up at its start."""
    work_seconds: orm.Mapped[int] = orm.mapped_column(sa.BigInteger)
    """Open seconds of work after that."""
    pieces: orm.Mapped[int]
    load: orm.Mapped[int]
    """Runs with the same number at a station are one shared batch."""
    under_way: orm.Mapped[bool]
    is_guess: orm.Mapped[bool]
    """Its end rests on a date that nobody has confirmed."""
    operation: orm.Mapped[LotOperation] = orm.relationship()
    station: orm.Mapped[Station | None] = orm.relationship()


class StationForecast(Model):
    """What the forecast takes of one station's time: what a promise has to fit around."""

    __tablename__ = "station_forecast"

    station_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("station.id"), primary_key=True)
    busy: orm.Mapped[list[dict[str, Any]]] = orm.mapped_column(sa.JSON)
    """The taken stretches in order, as ``app.core.promise.Busy``."""
    weeks: orm.Mapped[list[dict[str, Any]]] = orm.mapped_column(sa.JSON)
    """What it does in each week, as ``app.core.load.StationWeek``, as far as a plan reaches."""


class ServiceForecast(Model):
    """When a planned service of a station falls due next, and when the forecast reckons with it."""

    __tablename__ = "service_forecast"

    service_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("planned_service.id"), primary_key=True)
    due_at: orm.Mapped[datetime]
    start_at: orm.Mapped[datetime]
    end_at: orm.Mapped[datetime]
    is_guess: orm.Mapped[bool]
