"""The control plan: what is measured at each operation of a revision, how often, with what, and what if it is out."""

from decimal import Decimal
from enum import StrEnum

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.measures import rounded
from app.core.quality.frequencies import (
    EveryNth,
    EveryPiece,
    FirstAndLast,
    Frequency,
    PlanByLotSize,
    TimesAShift,
    ZeroAcceptance,
)
from app.core.quality.tolerances import DIGITS_AFTER, Limits
from app.parts.models.parts import Revision
from app.shared.database import Model, PrimaryKey, choice
from app.shared.exact import Exact
from app.shared.words import gettext


class GaugeKind(Model):
    """A kind of gauge, such as an outside micrometer: a control plan asks for one, and each gauge is of one."""

    __tablename__ = "gauge_kind"
    __table_args__ = (sa.CheckConstraint("length(name) BETWEEN 1 AND 60", name="name_length"),)

    id: orm.Mapped[PrimaryKey]
    name: orm.Mapped[str] = orm.mapped_column(unique=True)


class CharacteristicKind(StrEnum):
    """What a reading of it is."""

    MEASURED = "measured"
    ATTRIBUTE = "attribute"

    @property
    def word(self) -> str:
        """Return it as pages name it."""
        words = {
            CharacteristicKind.MEASURED: gettext("Measured value"),
            CharacteristicKind.ATTRIBUTE: gettext("Yes or no"),
        }
        return words[self]


class Concerns(StrEnum):
    """Whether it is a feature of the piece or a setting of the process."""

    PRODUCT = "product"
    PROCESS = "process"

    @property
    def word(self) -> str:
        """Return it as pages name it."""
        return gettext("The piece") if self is Concerns.PRODUCT else gettext("The process")


class FrequencyKind(StrEnum):
    """How often pieces are checked, or readings recorded."""

    EVERY_PIECE = "every piece"
    FIRST_AND_LAST = "first and last"
    EVERY_NTH = "every nth"
    TIMES_A_SHIFT = "times a shift"
    BY_LOT_SIZE = "by lot size"
    ZERO_ACCEPTANCE = "zero acceptance"

    @property
    def word(self) -> str:
        """Return it as pages offer it."""
        words = {
            FrequencyKind.EVERY_PIECE: gettext("Every piece"),
            FrequencyKind.FIRST_AND_LAST: gettext("First and last piece"),
            FrequencyKind.EVERY_NTH: gettext("Every so many pieces"),
            FrequencyKind.TIMES_A_SHIFT: gettext("So many times a shift"),
            FrequencyKind.BY_LOT_SIZE: gettext("Sample by lot size (ISO 2859-1, AQL in percent)"),
            FrequencyKind.ZERO_ACCEPTANCE: gettext("Sample without a bad piece (percent bad to be found)"),
        }
        return words[self]

    @property
    def needs_number(self) -> bool:
        """Say whether a number belongs to it."""
        return self not in {FrequencyKind.EVERY_PIECE, FrequencyKind.FIRST_AND_LAST}


def frequency_of(kind: FrequencyKind, number: Decimal | None, confidence: Decimal | None) -> Frequency:
    """Return a frequency as the core takes it; ``number`` is a share in percent for samples.

    Raises:
        BadInputError: the number is missing or makes no sense.
    """
    given = number if number is not None else Decimal(0)
    match kind:
        case FrequencyKind.EVERY_PIECE:
            return EveryPiece()
        case FrequencyKind.FIRST_AND_LAST:
            return FirstAndLast()
        case FrequencyKind.EVERY_NTH:
            return EveryNth(int(given))
        case FrequencyKind.TIMES_A_SHIFT:
            return TimesAShift(int(given))
        case FrequencyKind.BY_LOT_SIZE:
            return PlanByLotSize(given.normalize())
        case FrequencyKind.ZERO_ACCEPTANCE:
            share = given / 100
            return ZeroAcceptance(share) if confidence is None else ZeroAcceptance(share, confidence / 100)


class CharacteristicPlan:
    """The columns that a revision's characteristic and its frozen copy in a lot share.

    Limits are in ``unit``; ``places`` is how many of their decimal places are written on the drawing.
    """

    number: orm.Mapped[int]
    """Its number on the drawing; one of a revision."""
    name: orm.Mapped[str]
    kind: orm.Mapped[CharacteristicKind] = orm.mapped_column(
        choice(CharacteristicKind, "kind"), default=CharacteristicKind.MEASURED
    )
    concerns: orm.Mapped[Concerns] = orm.mapped_column(choice(Concerns, "concerns"), default=Concerns.PRODUCT)
    nominal: orm.Mapped[Decimal | None] = orm.mapped_column(Exact(DIGITS_AFTER))
    lower: orm.Mapped[Decimal | None] = orm.mapped_column(Exact(DIGITS_AFTER))
    upper: orm.Mapped[Decimal | None] = orm.mapped_column(Exact(DIGITS_AFTER))
    places: orm.Mapped[int] = orm.mapped_column(default=0)
    unit: orm.Mapped[str] = orm.mapped_column(default="")
    tolerance_class: orm.Mapped[str] = orm.mapped_column(default="")
    """The class of ISO 286-1 that the limits were taken from, such as H7."""
    drawing_zone: orm.Mapped[str] = orm.mapped_column(default="")
    """Where it stands on the drawing: sheet and zone."""
    gauge_kind_id: orm.Mapped[int | None]
    special_mark: orm.Mapped[str] = orm.mapped_column(default="")
    """The customer's sign for a special characteristic."""
    method: orm.Mapped[str] = orm.mapped_column(default="")
    reaction_plan: orm.Mapped[str] = orm.mapped_column(default="")
    checking_kind: orm.Mapped[FrequencyKind] = orm.mapped_column(choice(FrequencyKind, "checking_kind"))
    checking_number: orm.Mapped[Decimal | None] = orm.mapped_column(Exact(6))
    recording_kind: orm.Mapped[FrequencyKind] = orm.mapped_column(choice(FrequencyKind, "recording_kind"))
    recording_number: orm.Mapped[Decimal | None] = orm.mapped_column(Exact(6))
    confidence: orm.Mapped[Decimal | None] = orm.mapped_column(Exact(4))
    """In percent, for samples without a bad piece."""
    first_piece: orm.Mapped[bool] = orm.mapped_column(default=False)
    """The first piece must pass before the run goes on."""
    asks_serial: orm.Mapped[bool] = orm.mapped_column(default=False)
    """Each reading names the serial number of its piece."""

    PLANNED = (
        "number",
        "name",
        "kind",
        "concerns",
        "nominal",
        "lower",
        "upper",
        "places",
        "unit",
        "tolerance_class",
        "drawing_zone",
        "gauge_kind_id",
        "special_mark",
        "method",
        "reaction_plan",
        "checking_kind",
        "checking_number",
        "recording_kind",
        "recording_number",
        "confidence",
        "first_piece",
        "asks_serial",
    )

    @property
    def is_measured(self) -> bool:
        """Say whether its readings are values; else they are yes or no."""
        return self.kind is CharacteristicKind.MEASURED

    @property
    def limits(self) -> Limits:
        """Return the limits with the places that the drawing writes; only of one that is measured."""
        return Limits(*(self._written(value) for value in (self.lower, self.upper, self.nominal)))

    def _written(self, value: Decimal | None) -> Decimal | None:
        return None if value is None else rounded(value, self.places)

    @property
    def checking(self) -> Frequency:
        """Return how often pieces are checked."""
        return frequency_of(self.checking_kind, self.checking_number, self.confidence)

    @property
    def recording(self) -> Frequency:
        """Return how often a reading is recorded."""
        return frequency_of(self.recording_kind, self.recording_number, self.confidence)


def characteristic_checks() -> tuple[sa.CheckConstraint, ...]:
    """Return the constraints that keep a characteristic true."""
    return (
        sa.CheckConstraint("number BETWEEN 1 AND 9999", name="number_range"),
        sa.CheckConstraint("kind = 'attribute' OR lower IS NOT NULL OR upper IS NOT NULL", name="has_a_limit"),
        sa.CheckConstraint("lower <= upper", name="limits_in_order"),
        sa.CheckConstraint("places BETWEEN 0 AND 9", name="places_range"),
    )


class Characteristic(CharacteristicPlan, Model):
    """One characteristic of a revision, measured at one of its operations. A retired one is kept for its readings."""

    __tablename__ = "characteristic"
    __table_args__ = (
        sa.Index(
            "uq_characteristic_number_in_use",
            "revision_id",
            "number",
            unique=True,
            sqlite_where=sa.text("NOT retired"),
            postgresql_where=sa.text("NOT retired"),
        ),
        sa.ForeignKeyConstraint(["gauge_kind_id"], ["gauge_kind.id"]),
        *characteristic_checks(),
    )

    id: orm.Mapped[PrimaryKey]
    revision_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("revision.id"), index=True)
    operation_number: orm.Mapped[int]
    retired: orm.Mapped[bool] = orm.mapped_column(default=False)
    gauge_kind: orm.Mapped[GaugeKind | None] = orm.relationship()
    revision: orm.Mapped[Revision] = orm.relationship()
