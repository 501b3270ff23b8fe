"""Setting the invented shop up through the program's own services."""

import random
from datetime import datetime, timedelta
from decimal import Decimal

from sqlalchemy import orm

from app.core.calendar_hours import OpenHours, Shift
from app.core.calendars import WorkCalendar
from app.material.services import NewReceipt, NewVendor, add_vendor, receive
from app.orders.models import DueMeans
from app.orders.services import NewCustomer, add_customer
from app.parts.models import KindRole, Revision
from app.parts.queries import all_kinds
from app.parts.services import (
    NewComponent,
    NewKind,
    NewOperation,
    NewPart,
    NewRevision,
    NewRouting,
    Upload,
    add_component,
    add_default_kinds,
    add_file,
    add_kind,
    add_part,
    save_routing,
)
from app.people.services import NewPerson, add_person
from app.shared.units import UnitSystem, grams_from
from app.stations import queries as station_queries
from app.stations.services import (
    NewShift,
    NewStation,
    ShopSettings,
    add_crew,
    add_station,
    save_offered_days,
    set_hours,
    set_up_shop,
)
from seed_demo import shop
from seed_demo.catalog import BOUGHT, FITTED, PARTS, TAKES_BOUGHT, PartData
from seed_demo.control_plans import list_gauges, write_control_plans
from seed_demo.sketches import sketch
from seed_demo.steps import Step
from seed_demo.world import StationRun, World, local, moment

DRAWN = 9
"""So many parts have a sketch at their first machine operation."""


def set_up(session: orm.Session, rng: random.Random, begin: datetime, end: datetime) -> World:
    """Make the shop as it stood at ``begin`` and return the world to live through."""
    world = World(session, rng, int(begin.timestamp()), int(end.timestamp()))
    _people(world)
    _stations(world, begin, end)
    add_kind(session, NewKind("Deburring", KindRole.STATION, "Cut-resistant gloves for sharp edges; glasses on."))
    for customer in shop.CUSTOMERS:
        means = DueMeans.DOCK if customer.dock_days else DueMeans.LEAVES
        new = NewCustomer(customer.name, customer.address, means, customer.dock_days)
        world.customer_ids[customer.name] = add_customer(session, new).id
    for vendor in shop.VENDORS.values():
        add_vendor(session, NewVendor(vendor.name, vendor.contact))
    _parts(world, begin)
    write_control_plans(world)
    list_gauges(world)
    return world


def _people(world: World) -> None:
    settings = ShopSettings(
        name=shop.NAME,
        time_zone=shop.TIME_ZONE,
        shipping_cutoff=shop.SHIPPING_CUTOFF,
        units=UnitSystem.INCH,
        lift_limit_grams=grams_from(shop.LIFT_LIMIT_LB, UnitSystem.INCH),
        address="http://shop-pc:8080",
    )
    for data in shop.PEOPLE:
        new = NewPerson(data.name, data.initials, data.roles, data.password, data.pin)
        if world.people:
            world.people[data.initials] = add_person(world.session, new, world.rng.randrange)
        else:
            owner = set_up_shop(world.session, settings, new, [_usual_kinds])
            world.people[data.initials] = owner


def _usual_kinds(session: orm.Session) -> None:
    add_default_kinds(session)


def _stations(world: World, begin: datetime, end: datetime) -> None:
    session = world.session
    for year in range(begin.year, end.year + 2):
        days = station_queries.offered_days("US", "", year)
        save_offered_days(session, "US", "", year, [each.day for each in days if each.name in KEPT_HOLIDAYS])
    centers: dict[str, int] = {}
    for data in shop.STATIONS:
        known = centers.get(data.work_center)
        place = {"work_center_id": known} if known else {"new_work_center": data.work_center}
        new = NewStation(data.name, data.pallets, over_closed=data.over_closed, unattended_minutes=data.alone, **place)
        station = add_station(session, new)
        centers[data.work_center] = station.work_center_id
        set_hours(session, [station.id], [NewShift(*hours) for hours in data.hours])
        world.stations.append(_station_run(session, station.id, data, begin))
    for crew in shop.CREWS:
        add_crew(session, crew)


KEPT_HOLIDAYS = frozenset(
    {"New Year's Day", "Memorial Day", "Independence Day", "Labor Day", "Thanksgiving Day", "Christmas Day"}
)


def _station_run(session: orm.Session, station_id: int, data: shop.StationData, begin: datetime) -> StationRun:
    closed = station_queries.closed_days(session, begin.date() - timedelta(days=1))
    hours = OpenHours(shop.TIME_ZONE, tuple(Shift(*each) for each in data.hours), closed)
    center = station_queries.get_station(session, station_id).work_center_id
    return StationRun(station_id, data.name, center, WorkCalendar(hours))


def _parts(world: World, begin: datetime) -> None:
    _bought(world)
    kinds = {kind.name: kind.id for kind in all_kinds(world.session)}
    centers = {each.name: each.id for each in station_queries.work_centers(world.session)}
    for number, data in enumerate(sorted(PARTS, key=lambda part: part.number in FITTED)):
        revision = _part(world, data)
        operations = tuple(
            _operation(step, 10 * place, kinds, centers) for place, step in enumerate(data.steps, start=1)
        )
        owner = world.people["TO"]
        routing = save_routing(world.session, revision.id, NewRouting(operations, 0), by=owner, now=begin)
        world.parts[data.number] = data
        world.revision_ids[data.number] = revision.id
        if number < DRAWN:
            upload = Upload(f"{data.number}.png", sketch(data.number, data.name), f"Sketch of {data.name.lower()}")
            add_file(world.session, routing.operations[1].id, upload, now=begin)
        _fit(world, data)


def _bought(world: World) -> None:
    """Lay in the bought items that go into parts: enough for the half year."""
    for number, (name, material, price) in BOUGHT.items():
        item = NewRevision(label="A", material=material, blank_lead_days=8, blank_price=Decimal(price))
        part = add_part(world.session, NewPart(number, name), item)
        heat = f"B{world.rng.randrange(10_000, 99_999)}"
        new = NewReceipt(6000, local(world.now).date(), part_id=part.id, heat=heat, note="opening stock")
        world.bought[number] = receive(world.session, new, world.people["TO"], moment(world.now)).id


def _part(world: World, data: PartData) -> Revision:
    new = NewRevision(
        label=world.rng.choice("AABC"),
        material=data.material,
        blank=data.blank,
        blank_source=data.source,
        blank_form=data.form,
        pieces_per_unit=data.per_unit,
        blank_lead_days=data.lead_days,
        blank_price=data.blank_price,
        blank_grams=data.blank_grams,
        piece_grams=data.piece_grams,
    )
    return add_part(world.session, NewPart(data.number, data.name), new).revisions[0]


def _operation(step: Step, number: int, kinds: dict[str, int], centers: dict[str, int]) -> NewOperation:
    return NewOperation(
        number=number,
        kind_id=kinds[step.kind],
        work_center_id=centers[step.work_center] if step.work_center else None,
        title=step.title,
        setup_seconds=step.setup,
        setup_loss=step.setup_loss,
        expected_yield=step.expected_yield,
        taking=step.taking,
        cycle_ms=round(step.cycle * 1000),
        load_pieces=step.pieces,
        load_ms=round(step.load * 1000),
        batch_grams=step.batch_grams,
        recipe=step.recipe,
        lead_days=step.lead_days,
        send_ahead=step.send_ahead,
        tend_percent=step.tend,
        first_piece=step.first_piece,
        instructions=step.instructions,
    )


def _fit(world: World, data: PartData) -> None:
    takes = FITTED | TAKES_BOUGHT
    if data.number in takes:
        component, operation, each = takes[data.number]
        new = NewComponent(component, each, operation)
        add_component(world.session, world.revision_ids[data.number], new)
