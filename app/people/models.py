"""People and the attempts to sign in as one of them."""

from datetime import datetime
from enum import StrEnum

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.scan_code import CodeKind, format_code
from app.shared.database import Model, PrimaryKey
from app.shared.words import gettext


class Role(StrEnum):
    """What a person may do; one person may have several."""

    OWNER = "owner"
    SETUP_LEAD = "setup lead"
    OPERATOR = "operator"
    INSPECTOR = "inspector"

    @property
    def word(self) -> str:
        """Return the role as pages name it."""
        words = {
            Role.OWNER: gettext("Owner"),
            Role.SETUP_LEAD: gettext("Setup lead"),
            Role.OPERATOR: gettext("Operator"),
            Role.INSPECTOR: gettext("Inspector"),
        }
        return words[self]


EVERYONE = tuple(Role)
OFFICE = (Role.OWNER, Role.SETUP_LEAD)


class Person(Model):
    """Somebody who works here: signs in to the office, or on at a station with a badge and PIN."""

    __tablename__ = "person"
    __table_args__ = (
        sa.CheckConstraint("length(name) BETWEEN 1 AND 80", name="name_length"),
        sa.CheckConstraint("length(initials) BETWEEN 1 AND 4", name="initials_length"),
    )

    id: orm.Mapped[PrimaryKey]
    name: orm.Mapped[str] = orm.mapped_column(unique=True)
    initials: orm.Mapped[str] = orm.mapped_column(unique=True)
    badge_number: orm.Mapped[int | None] = orm.mapped_column(unique=True)
    password_hash: orm.Mapped[str] = orm.mapped_column(default="")
    pin_hash: orm.Mapped[str] = orm.mapped_column(default="")
    active: orm.Mapped[bool] = orm.mapped_column(default=True)
    locked_until: orm.Mapped[datetime | None]
    session_stamp: orm.Mapped[int] = orm.mapped_column(default=0)
    """Counts the passwords; a browser that signed in under an earlier one is signed out."""
    role_rows: orm.Mapped[list["PersonRole"]] = orm.relationship(
        cascade="all, delete-orphan", lazy="selectin", order_by="PersonRole.role"
    )

    @property
    def roles(self) -> frozenset[Role]:
        """Return what this person may do."""
        return frozenset(row.role for row in self.role_rows)

    @property
    def sorted_roles(self) -> list[Role]:
        """Return the roles in the order in which Role lists them."""
        return [role for role in Role if role in self.roles]

    @property
    def badge_code(self) -> str:
        """Return the code that the badge carries; empty where there is no badge."""
        return format_code(CodeKind.BADGE, self.badge_number) if self.badge_number else ""

    def is_locked(self, now: datetime) -> bool:
        """Say whether too many failed tries keep this person from signing in at ``now``."""
        return self.locked_until is not None and now < self.locked_until

    def has_role(self, *roles: StrEnum) -> bool:
        """Say whether this person has any of ``roles``."""
        return any(role in self.roles for role in roles)


class PersonRole(Model):
    """One role of one person."""

    __tablename__ = "person_role"

    person_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("person.id"), primary_key=True)
    role: orm.Mapped[Role] = orm.mapped_column(primary_key=True)


class SignInAttempt(Model):
    """One attempt to sign in with a password or a PIN; five failures in a row lock the person for a while."""

    __tablename__ = "sign_in_attempt"

    id: orm.Mapped[PrimaryKey]
    person_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("person.id"), index=True)
    at: orm.Mapped[datetime]
    secret: orm.Mapped[str]
    succeeded: orm.Mapped[bool]
