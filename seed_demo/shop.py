"""The invented shop: Saltmarsh Precision, its stations, hours, people, customers and vendors."""

from dataclasses import dataclass
from datetime import time
from decimal import Decimal
from typing import NamedTuple

from app.core.shop import OverClosed
from app.people.models import Role
from app.stations.services import NewCrew

NAME = "Saltmarsh Precision"
TIME_ZONE = "America/Chicago"
SHIPPING_CUTOFF = time(15, 30)
LIFT_LIMIT_LB = Decimal(45)

WEEKDAYS = range(5)
DAY = [(day, time(6), time(14, 30)) for day in WEEKDAYS]
LONG_DAY = [*DAY, *((day, time(14, 30), time(22)) for day in WEEKDAYS)]
WITH_NIGHT = [*LONG_DAY, *((day, time(22), time(6)) for day in range(4))]


class StationData(NamedTuple):
    """One machine or bench."""

    work_center: str
    name: str
    pallets: int
    hours: list[tuple[int, time, time]]
    over_closed: OverClosed = OverClosed.PAUSE
    alone: int = 0
    """Minutes for which it goes on when the people have left."""


STATIONS = [
    StationData("Pallet mills", "Mill 1, two pallets", 2, LONG_DAY),
    StationData("Pallet mills", "Mill 2, two pallets", 2, LONG_DAY),
    StationData("Pallet mills", "Mill 3, tombstones", 2, LONG_DAY, OverClosed.UNATTENDED, 120),
    StationData("Knee mills", "Knee mill", 1, DAY),
    StationData("Drills", "Drill press row", 1, DAY),
    StationData("Drills", "Tapping station", 1, DAY),
    StationData("Bar lathes", "Lathe 1, bar feeder", 1, WITH_NIGHT, OverClosed.UNATTENDED, 480),
    StationData("Bar lathes", "Lathe 2, chucker", 1, LONG_DAY),
    StationData("Press", "Hydraulic press", 1, DAY),
    StationData("Tumbling", "Vibratory bowl", 1, LONG_DAY),
    StationData("Deburring", "Deburr bench", 1, DAY),
    StationData("Inspection", "Inspection bench", 1, DAY),
]


CREWS = [
    NewCrew("Day", tuple(WEEKDAYS), time(6), time(14, 30), setters=1, tenders=3),
    NewCrew("Evening", tuple(WEEKDAYS), time(14, 30), time(22), setters=1, tenders=1),
]
"""By day an owner lends a hand; at night nobody is there and the bar feeder runs alone."""


class PersonData(NamedTuple):
    """Somebody who works here."""

    name: str
    initials: str
    roles: frozenset[Role]
    password: str
    pin: str


PEOPLE = [
    PersonData("Wren Hadley", "WH", frozenset({Role.OWNER}), "heron-creek", "4417"),
    PersonData("Tobias Orr", "TO", frozenset({Role.OWNER, Role.SETUP_LEAD}), "tall-reeds", "2093"),
    PersonData("Inez Calloway", "IC", frozenset({Role.INSPECTOR, Role.OPERATOR}), "plumb-line", "7756"),
    PersonData("Dov Lindqvist", "DL", frozenset({Role.OPERATOR}), "", "3180"),
    PersonData("Marisol Pike", "MP", frozenset({Role.OPERATOR}), "", "6602"),
]


@dataclass(frozen=True, slots=True)
class CustomerData:
    """An equipment maker that buys parts."""

    name: str
    address: str
    dock_days: int = 0
    """Days on the road, where their dates are dock days."""


CUSTOMERS = [
    CustomerData("Fernlight Glasshouses", "12 Conservatory Way\nOakmere"),
    CustomerData("Stillwater Shells", "Boathouse Row 3\nLower Weir", dock_days=2),
    CustomerData("Nightjar Instruments", "80 Observatory Hill\nDunmore Heath", dock_days=1),
    CustomerData("Crumb & Kettle Bakery Machines", "Unit 7, Mill Yard\nPriory Cross"),
    CustomerData("Larkfield Looms", "The Old Carding Shed\nTarn Bridge", dock_days=3),
    CustomerData("Pintle & Thole Marine Hardware", "Quay 4\nSandhaven"),
]


@dataclass(frozen=True, slots=True)
class VendorData:
    """Somebody blanks come from; ``late_days`` is what their deliveries usually slip by, with its spread."""

    name: str
    contact: str
    late_days: float
    spread: float


VENDORS = {
    "plate": VendorData("Ironquay Plate Cutting", "orders desk, ext. 2", 1.5, 2.5),
    "castings": VendorData("Bellfounders' Green Foundry", "Mr Ashby, mornings", 4.0, 4.0),
    "bar": VendorData("Tamarack Bar & Tube", "counter", 0.0, 1.0),
    "hardware": VendorData("Wharfside Fasteners", "web order", -0.5, 1.0),
    "finishing": VendorData("Cormorant Anodizing", "dock B", 1.0, 1.5),
}
