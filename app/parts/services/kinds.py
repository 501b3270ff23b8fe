"""The shop's kinds of operation and the cautions that are shown and printed with them."""

from dataclasses import dataclass

from sqlalchemy import orm

from app.parts import queries
from app.parts.errors import KindInUseError, KindNameTakenError
from app.parts.models import KindRole, OperationKind
from app.shared.database import transaction
from app.shared.words import gettext


@dataclass(frozen=True, slots=True)
class NewKind:
    """A kind of operation; ``caution`` has a line for each caution."""

    name: str
    role: KindRole
    caution: str = ""


def add_kind(session: orm.Session, new: NewKind) -> OperationKind:
    """Add a kind of operation.

    Raises:
        KindNameTakenError: there is one with this name.
    """
    with transaction(session):
        _refuse_taken_name(session, new.name, None)
        kind = OperationKind(name=new.name, role=new.role, caution=new.caution)
        session.add(kind)
    return kind


def change_kind(session: orm.Session, kind_id: int, new: NewKind) -> OperationKind:
    """Change a kind's name or cautions; what it means only while no routing uses it.

    Raises:
        KindNotFoundError: there is no such kind.
        KindNameTakenError: another kind has this name.
        KindInUseError: routings use it with the meaning it had.
    """
    with transaction(session):
        kind = queries.get_kind(session, kind_id, lock=True)
        _refuse_taken_name(session, new.name, kind.id)
        if new.role is not kind.role and kind.id in queries.kinds_in_use(session):
            raise KindInUseError(kind.name)
        kind.name, kind.role, kind.caution = new.name, new.role, new.caution
    return kind


def add_default_kinds(session: orm.Session) -> list[OperationKind]:
    """Add the usual kinds of a machine shop that are not there yet, and return those that were added."""
    with transaction(session):
        there = {kind.name.casefold() for kind in queries.all_kinds(session)}
        added = [
            OperationKind(name=new.name, role=new.role, caution=new.caution)
            for new in default_kinds()
            if new.name.casefold() not in there
        ]
        session.add_all(added)
    return added


def default_kinds() -> list[NewKind]:
    """Return the usual kinds with their cautions.

    The facts behind them: 29 CFR 1910.133 (eyes), 1910.147 (lock-out), 1910.212 (guards, revolving drums),
    1910.217 (mechanical power presses), 1910.242(b) (air for cleaning), 1910.95 (noise), 1910.1200 (chemicals).
    """
    glasses = gettext("Safety glasses with side shields, also when blowing off; air below 30 psi, never at a person.")
    guards = gettext("Doors and guards closed, interlocks working, work clamped. Stop and lock out before reaching in.")
    spindle = gettext("No gloves or loose sleeves near a turning spindle. Guards closed, work clamped.")
    return [
        NewKind(
            gettext("Ordering blanks"),
            KindRole.BLANKS,
            gettext("Check the weight before lifting; over the shop's limit use a hoist, a cart or a second person."),
        ),
        NewKind(gettext("Milling"), KindRole.STATION, f"{guards}\n{glasses}"),
        NewKind(gettext("Drilling"), KindRole.STATION, f"{spindle}\n{glasses}"),
        NewKind(gettext("Turning"), KindRole.STATION, f"{spindle}\n{glasses}"),
        NewKind(
            gettext("Pressing"),
            KindRole.STATION,
            gettext("Hands out of the press: guard or device checked this shift, set up by an authorized person.")
            + "\n"
            + gettext("Safety glasses on. Wear hearing protection where posted."),
        ),
        NewKind(
            gettext("Tumbling"),
            KindRole.STATION,
            gettext("Lid closed and interlock working before it moves; never reach into a moving drum or bowl.")
            + "\n"
            + gettext("Wear hearing protection where posted. Read the label and safety data sheet of the compound."),
        ),
        NewKind(
            gettext("Inspection"),
            KindRole.STATION,
            gettext("Mind burrs and sharp edges. Read the label of cleaners before use."),
        ),
        NewKind(
            gettext("Outside process"),
            KindRole.OUTSIDE,
            gettext("Check the weight before lifting, and returned parts for residues of chemicals."),
        ),
    ]


def _refuse_taken_name(session: orm.Session, name: str, own_id: int | None) -> None:
    for kind in queries.all_kinds(session):
        if kind.id != own_id and kind.name.casefold() == name.casefold():
            raise KindNameTakenError(kind.name)
