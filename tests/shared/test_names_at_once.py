"""Two people who give the same name at the same moment over two connections: one is kept, the other is told.

``transaction()`` lets one writer in at a time on both databases, so each use case's own look at the names that are
taken is enough: nobody meets a broken constraint.
"""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import date
from threading import Barrier
from typing import Any

import pytest
import sqlalchemy as sa
from sqlalchemy import orm

from app.material import services as material
from app.material.models import Vendor
from app.orders import services as orders
from app.orders.models import Customer, DueMeans
from app.parts import services as parts
from app.parts.models import KindRole, OperationKind, Part, Revision
from app.people import services as people
from app.people.models import Person, Role
from app.shared.errors import PlainError
from app.stations import services as stations
from app.stations.models import Closure, Station, WorkCenter
from tests.factories.lots import MORNING
from tests.factories.parts import PartFactory, RevisionFactory
from tests.factories.stations import ShopFactory

AddOne = Callable[[orm.Session], Any]


def add_revision(session: orm.Session) -> Any:
    part = session.scalars(sa.select(Part).where(Part.number == "HB-1")).one()
    new = parts.NewRevision("B")
    return parts.add_revision(session, part.id, new, with_files=False, by=None, now=MORNING)


NAMED: dict[str, tuple[AddOne, sa.Select[Any], str]] = {
    "person": (
        lambda session: people.add_person(
            session, people.NewPerson("Ida Holm", "IH", frozenset({Role.OPERATOR}), pin="4711")
        ),
        sa.select(Person).where(Person.name == "Ida Holm"),
        "Ida Holm",
    ),
    "station": (
        lambda session: stations.add_station(session, stations.NewStation("Mill 9", new_work_center="Mills")),
        sa.select(Station).where(Station.name == "Mill 9"),
        "Mill 9",
    ),
    "work center": (
        lambda session: stations.add_work_center(session, "Presses"),
        sa.select(WorkCenter).where(WorkCenter.name == "Presses"),
        "Presses",
    ),
    "closed day": (
        lambda session: stations.close_days(session, date(2026, 3, 2), date(2026, 3, 2), "Stocktaking"),
        sa.select(Closure),
        "Stocktaking",
    ),
    "kind of operation": (
        lambda session: parts.add_kind(session, parts.NewKind("Grinding", KindRole.STATION)),
        sa.select(OperationKind).where(OperationKind.name == "Grinding"),
        "Grinding",
    ),
    "part": (
        lambda session: parts.add_part(session, parts.NewPart("HB-7", "Hinge block"), parts.NewRevision("A")),
        sa.select(Part).where(Part.number == "HB-7"),
        "HB-7",
    ),
    "revision": (add_revision, sa.select(Revision).where(Revision.label == "B"), "B"),
    "customer": (
        lambda session: orders.add_customer(
            session, orders.NewCustomer("Brightwater Pumps", due_means=DueMeans.LEAVES)
        ),
        sa.select(Customer),
        "Brightwater Pumps",
    ),
    "vendor": (
        lambda session: material.add_vendor(session, material.NewVendor("Nettle Steel")),
        sa.select(Vendor),
        "Nettle Steel",
    ),
}


@pytest.fixture(autouse=True)
def shop(session: orm.Session) -> None:
    ShopFactory()
    RevisionFactory(part=PartFactory(number="HB-1"), label="A")
    session.rollback()


@pytest.mark.parametrize("what", NAMED)
def test_the_same_name_at_once_is_kept_once_and_the_other_is_told(session, engine, what):
    add, kept, name = NAMED[what]
    together = Barrier(2)

    def one(_number: int) -> str:
        with orm.Session(engine) as own:
            own.execute(sa.select(sa.func.count(Part.id)))  # a request has read something before it writes
            together.wait(20)
            try:
                add(own)
            except PlainError as refused:
                return str(refused)
        return ""

    with ThreadPoolExecutor(2) as pool:
        told = sorted(pool.map(one, range(2)))
    assert told[0] == ""
    assert name in told[1]
    assert len(session.scalars(kept).unique().all()) == 1
