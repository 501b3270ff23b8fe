"""What the pieces in front of a person weigh, against the shop's lift limit."""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from sqlalchemy import orm

from app.core.weight import too_heavy_to_lift
from app.parts.models import Revision
from app.shared.units import UnitSystem, shown_weight
from app.stations.models import Shop
from app.stations.queries import find_shop

LIFT_LIMIT_WITHOUT_A_SHOP = 23_000
"""Grams; the load constant of the NIOSH lifting equation (Waters et al. 1993), an ideal lift and no permission."""


@dataclass(frozen=True, slots=True)
class Load:
    """What some pieces weigh together, as shown; ``too_heavy`` is against ``limit``."""

    pieces: int
    weight: str
    limit: str
    too_heavy: bool


def units_of(session: orm.Session) -> UnitSystem:
    """Return the units the shop reads."""
    shop = find_shop(session)
    return shop.units if shop else UnitSystem.INCH


def load_of(shop: Shop | None, pieces: Iterable[tuple[Revision, int]]) -> Load | None:
    """Return what pieces weigh together, each as the heavier of its blank and itself; None where one is not known."""
    each = [(max(revision.blank_grams, revision.piece_grams), count) for revision, count in pieces]
    if not each or not all(grams for grams, _ in each):
        return None
    total = sum(grams * count for grams, count in each)
    limit = shop.lift_limit_grams if shop else LIFT_LIMIT_WITHOUT_A_SHOP
    units = shop.units if shop else UnitSystem.INCH
    return Load(
        pieces=sum(count for _, count in each),
        weight=shown_weight(total, units),
        limit=shown_weight(limit, units),
        too_heavy=too_heavy_to_lift(Fraction(total, 1000), Fraction(limit, 1000)),
    )
