"""The shop, its work centers and stations, and the hours in which they are open."""

from datetime import date, datetime, time, timedelta
from enum import StrEnum

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.scan_code import CodeKind, format_code
from app.core.shop import OverClosed
from app.shared.database import Model, PrimaryKey
from app.shared.units import UnitSystem
from app.shared.words import gettext

PASSED_GUESS_LASTS = timedelta(hours=1)
DAY_SECONDS = 86_400


class Shop(Model):
    """The one row of shop settings."""

    __tablename__ = "shop"
    __table_args__ = (
        sa.CheckConstraint("id = 1", name="one_row"),
        sa.CheckConstraint("lift_limit_grams > 0", name="lift_limit_positive"),
        sa.CheckConstraint("idle_minutes BETWEEN 1 AND 1440", name="idle_minutes_range"),
        sa.CheckConstraint("sure_percent BETWEEN 50 AND 99", name="sure_percent_range"),
        sa.CheckConstraint("search_seconds BETWEEN 5 AND 3600", name="search_seconds_range"),
        sa.CheckConstraint("plan_gain_hours BETWEEN 0 AND 10000", name="plan_gain_hours_range"),
        sa.CheckConstraint("promise_percent BETWEEN 50 AND 99", name="promise_percent_range"),
    )
    read_by_planner = True

    id: orm.Mapped[PrimaryKey]
    name: orm.Mapped[str]
    time_zone: orm.Mapped[str]
    shipping_cutoff: orm.Mapped[time]
    units: orm.Mapped[UnitSystem] = orm.mapped_column(default=UnitSystem.INCH)
    lift_limit_grams: orm.Mapped[int] = orm.mapped_column(default=23_000)
    idle_minutes: orm.Mapped[int] = orm.mapped_column(default=240)
    sure_percent: orm.Mapped[int] = orm.mapped_column(default=95)
    search_seconds: orm.Mapped[int] = orm.mapped_column(default=60)
    """How long a search for a better order of work takes."""
    plan_gain_hours: orm.Mapped[int] = orm.mapped_column(default=8)
    """A better order is proposed only where it saves more hours late, each counted by its customer's weight."""
    promise_percent: orm.Mapped[int] = orm.mapped_column(default=80)
    """How sure a date has to be that is promised."""
    holiday_country: orm.Mapped[str] = orm.mapped_column(default="US")
    holiday_state: orm.Mapped[str] = orm.mapped_column(default="")
    address: orm.Mapped[str] = orm.mapped_column(default="")
    """The address that printed codes carry, such as ``http://shop-pc:8080``; empty: that of the page itself."""


class ReasonUse(StrEnum):
    """What a usual reason is for."""

    SCRAP = "scrap"
    DOWNTIME = "downtime"

    @property
    def word(self) -> str:
        """Return it as pages name it."""
        words = {
            ReasonUse.SCRAP: gettext("Why pieces are scrap, held or reworked"),
            ReasonUse.DOWNTIME: gettext("Why a station is down"),
        }
        return words[self]


class UsualReason(Model):
    """A reason that stations offer as a key. What is recorded keeps its words, so that history never changes."""

    __tablename__ = "usual_reason"
    __table_args__ = (
        sa.UniqueConstraint("use", "words"),
        sa.CheckConstraint("length(words) BETWEEN 1 AND 40", name="words_length"),
    )

    id: orm.Mapped[PrimaryKey]
    use: orm.Mapped[ReasonUse]
    words: orm.Mapped[str]
    active: orm.Mapped[bool] = orm.mapped_column(default=True)


class WorkCenter(Model):
    """Stations that can do the same operation."""

    __tablename__ = "work_center"
    __table_args__ = (sa.CheckConstraint("length(name) BETWEEN 1 AND 60", name="name_length"),)
    read_by_planner = True

    id: orm.Mapped[PrimaryKey]
    name: orm.Mapped[str] = orm.mapped_column(unique=True)
    stations: orm.Mapped[list["Station"]] = orm.relationship(back_populates="work_center", order_by="Station.name")


class Station(Model):
    """One machine or bench. ``pallets`` is how many jobs it can have open at once."""

    __tablename__ = "station"
    __table_args__ = (
        sa.CheckConstraint("length(name) BETWEEN 1 AND 60", name="name_length"),
        sa.CheckConstraint("pallets BETWEEN 1 AND 24", name="pallets_range"),
        sa.CheckConstraint("pallet_change_seconds BETWEEN 0 AND 3600", name="pallet_change_range"),
        sa.CheckConstraint("unattended_minutes BETWEEN 0 AND 10080", name="unattended_range"),
        sa.CheckConstraint("pace BETWEEN 10 AND 1000", name="pace_range"),
    )
    read_by_planner = True

    id: orm.Mapped[PrimaryKey]
    work_center_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("work_center.id"), index=True)
    name: orm.Mapped[str] = orm.mapped_column(unique=True)
    number: orm.Mapped[int] = orm.mapped_column(unique=True)
    """The number in the station's scan code."""
    pallets: orm.Mapped[int] = orm.mapped_column(default=1)
    pallet_change_seconds: orm.Mapped[int] = orm.mapped_column(default=0)
    """Time of one change of pallets, where there are two or more."""
    over_closed: orm.Mapped[OverClosed] = orm.mapped_column(default=OverClosed.PAUSE)
    """What work does here when the people leave."""
    unattended_minutes: orm.Mapped[int] = orm.mapped_column(default=0)
    """For how long it goes on alone then."""
    pace: orm.Mapped[int] = orm.mapped_column(default=100)
    """How fast it cuts, in percent of the cycle times of routings."""
    active: orm.Mapped[bool] = orm.mapped_column(default=True)
    work_center: orm.Mapped[WorkCenter] = orm.relationship(back_populates="stations")
    shifts: orm.Mapped[list["Shift"]] = orm.relationship(
        back_populates="station", cascade="all, delete-orphan", order_by="(Shift.weekday, Shift.starts)"
    )
    overtimes: orm.Mapped[list["Overtime"]] = orm.relationship(back_populates="station", order_by="Overtime.starts_at")
    downtimes: orm.Mapped[list["Downtime"]] = orm.relationship(back_populates="station", order_by="Downtime.starts_at")

    @property
    def weekly_hours(self) -> float:
        """Return how many hours its shifts keep it open in a week, for showing."""
        return sum(shift_seconds(each.starts, each.ends) for each in self.shifts) / 3600

    @property
    def code(self) -> str:
        """Return the station's scan code."""
        return format_code(CodeKind.STATION, self.number)


def weekday_name(weekday: int) -> str:
    """Return the short name of a day of the week; 0 is Monday."""
    names = (
        gettext("Mon"),
        gettext("Tue"),
        gettext("Wed"),
        gettext("Thu"),
        gettext("Fri"),
        gettext("Sat"),
        gettext("Sun"),
    )
    return names[weekday]


def shift_seconds(starts: time, ends: time) -> int:
    """Return the length of a shift on the wall clock: an end that is not after the start lies on the next day."""
    return (_second_of_day(ends) - _second_of_day(starts)) % DAY_SECONDS or DAY_SECONDS


def _second_of_day(at: time) -> int:
    return at.hour * 3600 + at.minute * 60 + at.second


class Shift(Model):
    """Weekly open hours of a station on the shop's wall clock; an end at or before the start lies on the next day."""

    __tablename__ = "shift"
    __table_args__ = (sa.CheckConstraint("weekday BETWEEN 0 AND 6", name="weekday_range"),)
    read_by_planner = True

    id: orm.Mapped[PrimaryKey]
    station_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("station.id"), index=True)
    weekday: orm.Mapped[int]
    """0 is Monday."""
    starts: orm.Mapped[time]
    ends: orm.Mapped[time]
    station: orm.Mapped[Station] = orm.relationship(back_populates="shifts")


class Crew(Model):
    """The people of one shift. Where there is any, people limit the work; else they never do."""

    __tablename__ = "crew"
    __table_args__ = (
        sa.CheckConstraint("length(name) BETWEEN 1 AND 60", name="name_length"),
        sa.CheckConstraint("setters BETWEEN 0 AND 999 AND tenders BETWEEN 0 AND 999", name="people_range"),
    )
    read_by_planner = True

    id: orm.Mapped[PrimaryKey]
    name: orm.Mapped[str] = orm.mapped_column(unique=True)
    weekdays: orm.Mapped[list[int]] = orm.mapped_column(sa.JSON)
    """The days on which it begins; 0 is Monday."""
    starts: orm.Mapped[time]
    ends: orm.Mapped[time]
    """An end at or before the start lies on the next day."""
    setters: orm.Mapped[int]
    """How many at once can set up."""
    tenders: orm.Mapped[int]
    """How many others can load and tend."""


class Closure(Model):
    """A day on which the whole shop is closed: no shift that begins on it is worked."""

    __tablename__ = "closure"
    read_by_planner = True

    id: orm.Mapped[PrimaryKey]
    day: orm.Mapped[date] = orm.mapped_column(unique=True)
    name: orm.Mapped[str]


class Overtime(Model):
    """Extra open hours of a station, ``[starts_at, ends_at)``."""

    __tablename__ = "overtime"
    __table_args__ = (sa.CheckConstraint("ends_at > starts_at", name="ends_after_start"),)
    read_by_planner = True

    id: orm.Mapped[PrimaryKey]
    station_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("station.id"), index=True)
    starts_at: orm.Mapped[datetime]
    ends_at: orm.Mapped[datetime]
    reason: orm.Mapped[str] = orm.mapped_column(default="")
    station: orm.Mapped[Station] = orm.relationship(back_populates="overtimes")


class Downtime(Model):
    """A stretch in which a station cannot run, ``[starts_at, ends_at)``; the end may be a guess."""

    __tablename__ = "downtime"
    __table_args__ = (sa.CheckConstraint("ends_at > starts_at", name="ends_after_start"),)
    read_by_planner = True

    id: orm.Mapped[PrimaryKey]
    station_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("station.id"), index=True)
    starts_at: orm.Mapped[datetime]
    ends_at: orm.Mapped[datetime]
    end_is_guess: orm.Mapped[bool] = orm.mapped_column(default=False)
    reason: orm.Mapped[str] = orm.mapped_column(default="")
    station: orm.Mapped[Station] = orm.relationship(back_populates="downtimes")

    def is_open(self, now: datetime) -> bool:
        """Say whether it lasts at ``now``; a guessed end that has passed ends nothing until somebody says so."""
        return self.starts_at <= now and (now < self.ends_at or self.end_is_guess)

    def expected_end(self, now: datetime) -> datetime:
        """Return when to reckon with the station again; where the guess has passed, an hour from ``now``."""
        return now + PASSED_GUESS_LASTS if self.end_is_guess and self.ends_at <= now else self.ends_at

    def guess_passed(self, now: datetime) -> bool:
        """Say whether it was expected back by ``now`` and nobody has said that it is."""
        return self.end_is_guess and self.starts_at <= now and self.ends_at <= now
