"""What a set of paper files shows, and the names of its files."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

import sqlalchemy as sa
from sqlalchemy import orm

from app.keeper.file_names import plain_name
from app.lots.models import Lot
from app.lots.queries import lot_name
from app.schedule.queries import Age, age
from app.stations import queries as station_queries
from app.stations.models import Shop, Station

REVIEW: Final = "review.html"


@dataclass(frozen=True, slots=True)
class Contents:
    """What a set of paper files shows as of ``now``; ``age`` is the forecast's."""

    now: datetime
    shop: Shop
    stations: Sequence[Station]
    lots: Sequence[Lot]
    age: Age | None

    @property
    def files(self) -> dict[str, str]:
        """Return the file's name for each address of the app that has one."""
        names = {"/review": REVIEW}
        for station in self.stations:
            for address in ("/floor/stations", "/schedule/stations"):
                names[f"{address}/{station.id}"] = station_file(station)
        for lot in self.lots:
            names[f"/lots/{lot.id}"] = traveler_file(lot)
        return names


def read_contents(session: orm.Session, now: datetime) -> Contents:
    """Read which stations and open lots there are; those that are due first come first.

    Raises:
        NoShopError: the shop is not set up yet.
    """
    lots = session.scalars(
        sa.select(Lot)
        .where(Lot.closed_at.is_(None))
        .order_by(Lot.due_on.is_(None), Lot.due_on, Lot.number)
        .options(orm.joinedload(Lot.revision))
    ).all()
    stations = session.scalars(sa.select(Station).where(Station.active).order_by(Station.name)).all()
    return Contents(now, station_queries.shop(session), stations, lots, age(session, now))


def station_file(station: Station) -> str:
    """Return the name of a station's list."""
    return "-".join(filter(None, (f"station-{station.number:02}", plain_name(station.name)))) + ".html"


def traveler_file(lot: Lot) -> str:
    """Return the name of a lot's traveler."""
    return f"traveler-{lot_name(lot)}.html"
