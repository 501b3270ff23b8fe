"""A lot that is measured at its first operation, and the station where it runs."""

from sqlalchemy import orm

from app.lots.models import Lot, LotOperation
from app.lots.services import begin
from app.quality.services import NewReading, record_reading
from tests.conftest import ShopClock
from tests.factories.lots import MORNING, act, make_lot, make_routing, station_of
from tests.factories.quality import CharacteristicFactory


def measured_lot(session: orm.Session, *plans: dict, pieces: int = 10, first_piece: bool = False, **plan) -> Lot:
    """Release a lot whose first operation has a characteristic for each of ``plans``, by default one bore."""
    routing = make_routing(first_piece=first_piece)
    for number, each in enumerate(plans or ({},), start=1):
        CharacteristicFactory(revision=routing.revision, number=number, **each)
    return make_lot(session, pieces=pieces, routing=routing)


class AtStation:
    """The station of a lot's first operation; time passes between what is done there."""

    def __init__(self, session: orm.Session, lot: Lot, person_id: int | None = None) -> None:
        self.session, self.lot = session, lot
        self.clock = ShopClock()
        self.clock.now = MORNING
        self.person_id = person_id

    @property
    def operation(self) -> LotOperation:
        return self.lot.operations[0]

    def act(self, **facts):
        self.clock.forward(seconds=1)
        now = self.clock.now
        station_id = station_of(self.operation).id
        known = {"station_id": station_id, "happened_at": now, "recorded_at": now, "person_id": self.person_id}
        return act(**{**known, **facts})

    def begin(self, **how) -> "AtStation":
        begin(self.session, self.act(), [self.operation.id], **how)
        return self

    def read(self, typed: str = "", nth: int = 0, key: str | None = None, **reading):
        what = self.operation.characteristics[nth].id
        circumstances = self.act(key=key) if key else self.act()
        return record_reading(self.session, circumstances, self.operation.id, NewReading(what, typed, **reading))
