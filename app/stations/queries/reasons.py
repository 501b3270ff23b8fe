"""The usual reasons for scrap and downtime."""

import sqlalchemy as sa
from sqlalchemy import orm

from app.stations.models import ReasonUse, UsualReason


def usual_reasons(session: orm.Session, use: ReasonUse) -> list[str]:
    """Return the reasons that are offered for a use, in the order in which they were added."""
    offered = sa.select(UsualReason.words).where(UsualReason.use == use, UsualReason.active)
    return list(session.scalars(offered.order_by(UsualReason.id)))


def all_reasons(session: orm.Session) -> dict[ReasonUse, list[UsualReason]]:
    """Return all reasons of each use, those that are offered first; one statement."""
    found: dict[ReasonUse, list[UsualReason]] = {use: [] for use in ReasonUse}
    for reason in session.scalars(sa.select(UsualReason).order_by(UsualReason.active.desc(), UsualReason.id)):
        found[reason.use].append(reason)
    return found
