"""Storing the chances of being late: the old ones are replaced in one short write."""

import sqlalchemy as sa
from sqlalchemy import orm

from app.schedule.models import ChanceRun, LotChance
from app.schedule.queries import Chances, chance_rows, chance_run
from app.schedule.services.storing import PLANNER
from app.shared.database import transaction
from app.shared.lease import still_holds


def store_chances(session: orm.Session, found: Chances, *, holder: str) -> bool:
    """Keep chances in place of the ones before, for the planner that holds the lease; say whether they were kept."""
    with transaction(session):
        if not still_holds(session, PLANNER, holder):
            return False
        for table in (LotChance, ChanceRun):
            session.execute(sa.delete(table))
        session.add_all([chance_run(found), *chance_rows(found)])
    return True
