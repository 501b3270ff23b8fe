"""What every page of a station shows around its own matter."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import orm

from app.floor.models import SignOn
from app.floor.queries.signed_on import just_taken_over, signed_on
from app.stations.models import Downtime, Shop, Station
from app.stations.queries import down_now, find_shop, get_station


@dataclass(frozen=True, slots=True)
class Frame:
    """A station and who is there.

    Attributes:
        station: the station.
        shop: the shop's settings; None before it is set up.
        people: who is signed on, the one who acts first.
        taken_over: who was signed on until the acting person's badge took over a moment ago.
        downtime: why it is down; None when it is not.
    """

    station: Station
    shop: Shop | None
    people: list[SignOn]
    taken_over: list[SignOn]
    downtime: Downtime | None

    @property
    def acting(self) -> SignOn | None:
        """Return the sign-on of the person who acts."""
        return self.people[0] if self.people else None


def frame(session: orm.Session, station_id: int, now: datetime) -> Frame:
    """Read what every page of a station shows.

    Raises:
        StationNotFoundError: there is no such station.
    """
    station = get_station(session, station_id)
    people = signed_on(session, station_id, now)
    return Frame(
        station=station,
        shop=find_shop(session),
        people=people,
        taken_over=just_taken_over(session, people[0], now) if people else [],
        downtime=next(iter(down_now(session, station, now)), None),
    )
