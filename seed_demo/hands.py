"""What the demo's floor says beside its pieces: down and back when, a lot sent on, service, notes, a hand-over seen."""

from datetime import datetime, timedelta

import sqlalchemy as sa

from app.floor.services import (
    NewNote,
    Sent,
    leave_note,
    note_on_lot,
    plan_service,
    see_hand_over,
    sign_off_person,
    sign_on_again,
)
from app.lots.models import Job, Lot, LotOperation
from app.lots.services import count_hours, hand_over, pause, send_to_station
from app.stations.models import Station, WorkCenter
from app.stations.queries import Guess
from app.stations.services import NewService, Said, down_now, guess_again, service_done
from seed_demo.world import World, moment

HOUR, DAY = 3600, 86_400
NOTED_AT = "Mill 1, two pallets"
SEEN_AT, SEEN_BY = "Lathe 1, bar feeder", "MP"
SENT_WITHIN, SENT_TO = "Pallet mills", "Mill 3, tombstones"


def said(world: World, who: str, at: int | None = None) -> Said:
    """Return the circumstances of something that a person says of a station, now by default."""
    act = world.act(who)
    when = moment(world.now if at is None else at)
    return Said(act.key, when, when, act.person_id)


def press_breaks_down(world: World, station_id: int, back: datetime) -> None:
    """Say that the press is down until the evening, what runs there paused, and later that it takes until ``back``."""
    soon = Guess("typed", moment(world.now + 8 * HOUR))
    down_now(world.session, station_id, said(world, "MP"), soon, "pump seal leaks; part ordered")
    for job in world.session.scalars(sa.select(Job).where(Job.station_id == station_id)).all():
        pause(world.session, world.act("MP", station_id), job.operation_id)
    guess_again(world.session, station_id, said(world, "TO", world.now + HOUR), Guess("typed", back))


def notes_of_the_last_shift(world: World) -> None:
    """Let somebody write down at a mill, yesterday, what the next one should know."""
    station = _station(world, NOTED_AT)
    sign_on = _sign_on(world, station, "DL")
    for text, next_shift in (
        ("Insert 3 of the face mill chips: turned twice, new ones are in drawer 4.", True),
        ("The door switch sticks; close it with both hands.", False),
    ):
        leave_note(world.session, _sent(world, station), NewNote(text, next_shift=next_shift))
    job = world.session.scalars(sa.select(Job).where(Job.station_id == station.id).order_by(Job.id)).first()
    if job is not None:
        note_on_lot(world.session, said(world, "DL"), job.operation.lot_id, "Deburr before washing: chips in the slot.")
    sign_off_person(world.session, station.id, sign_on, moment(world.now))


def plan_services(world: World) -> None:
    """Plan services: one is overdue, one falls due by hours soon, one was done yesterday."""
    count_hours(world.session, moment(world.end))  # stations have signed off up to the end by now
    today = moment(world.now)
    overdue = NewService("Change the oil filter", 90, today - timedelta(days=97), every_days=90)
    plan_service(world.session, _station(world, "Hydraulic press").id, overdue, 0)
    by_hours = NewService("Grease spindle and ways", 60, today - timedelta(days=30), every_hours=250)
    plan_service(world.session, _station(world, NOTED_AT).id, by_hours, 235)
    weekly = NewService("Check way oil and filters", 30, today - timedelta(days=8), every_days=14)
    lathe = _station(world, SEEN_AT)
    planned = plan_service(world.session, lathe.id, weekly, 0)
    service_done(world.session, lathe.id, planned.id, said(world, "MP", world.now - DAY), 0)


def send_one_on(world: World) -> None:
    """Send the latest lot that no pallet mill has begun to one of them."""
    waiting = world.session.scalars(
        sa.select(LotOperation)
        .join(LotOperation.lot)
        .join(LotOperation.work_center)
        .where(
            WorkCenter.name == SENT_WITHIN,
            LotOperation.passed + LotOperation.in_work + LotOperation.counted == 0,
            Lot.closed_at.is_(None),
            Lot.hold_reason == "",
        )
        .order_by(Lot.number.desc())
    ).first()
    if waiting is not None:
        act = world.act("TO")
        reason = "its tombstone is set up there already"
        send_to_station(world.session, act, waiting.id, _station(world, SENT_TO).id, reason)


def one_runs_all_the_mills(world: World) -> None:
    """Let one person take over what is open at the pallet mills, and sign on at each of them."""
    mills = world.session.scalars(
        sa.select(Station).join(Station.work_center).where(WorkCenter.name == SENT_WITHIN).order_by(Station.id)
    )
    for mill in mills.all():
        _sign_on(world, mill, "DL")
        open_here = sa.select(Job.operation_id).join(Job.operation).join(LotOperation.lot)
        takeable = open_here.where(Job.station_id == mill.id, Job.batch_id.is_(None), Lot.hold_reason == "")
        for operation_id in world.session.scalars(takeable.order_by(Job.id)).all():
            hand_over(world.session, world.act("DL", mill.id), operation_id)


def see_the_hand_over(world: World) -> None:
    """Let the one who is signed on at the lathe have seen what the night left."""
    see_hand_over(world.session, _sent(world, _station(world, SEEN_AT)))


def _station(world: World, name: str) -> Station:
    return world.session.scalars(sa.select(Station).where(Station.name == name)).one()


def _sign_on(world: World, station: Station, initials: str) -> int:
    """Sign somebody on with the badge alone, at a tablet that had their PIN that day."""
    badge = world.people[initials].badge_number
    assert badge is not None  # noqa: S101 - everybody in the demo has one
    now = moment(world.now)
    return sign_on_again(world.session, station.id, badge, now, now).id


def _sent(world: World, station: Station) -> Sent:
    return Sent(station.id, world.act(None).key, moment(world.now), moment(world.now))
