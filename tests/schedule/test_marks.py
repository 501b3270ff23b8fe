"""What is read of open jobs after any order of acts agrees with the ledger's own count of them."""

import random

import pytest
import sqlalchemy as sa

from app.lots import services as lots
from app.lots.errors import LedgerError
from app.lots.models import Job, JobState, Posting
from app.lots.queries.jobs import counted_by_station
from app.parts.models import Taking
from app.schedule.queries.hours import read_hours
from app.schedule.queries.jobs import begun_jobs
from app.schedule.queries.under_way import under_way
from tests.factories.lots import act, make_lot, station_of
from tests.factories.schedule import routing_of, single

BARS = {"taking": Taking.BAR, "load_pieces": 3, "cycle_ms": 60_000, "load_ms": 300_000, "setup_seconds": 1200}


def acts_at(session, station, now):
    """Return acts at a station by name, each of an operation and some pieces."""

    def here():
        return act(station_id=station.id, happened_at=now(), recorded_at=now())

    return {
        "set up": lambda operation, _: lots.begin(session, here(), [operation.id], setup=True),
        "begin": lambda operation, _: lots.begin(session, here(), [operation.id]),
        "run": lambda operation, _: lots.run(session, here(), operation.id),
        "pause": lambda operation, _: lots.pause(session, here(), operation.id),
        "count": lambda operation, pieces: lots.count_so_far(session, here(), operation.id, pieces),
        "pass some": lambda operation, pieces: lots.sign_off(
            session, here(), [lots.SignOff(operation.id, pieces, (lots.Scrap(1, "burr"),))]
        ),
        "send ahead": lambda operation, pieces: lots.send_ahead(session, here(), operation.id, pieces),
        "scrap": lambda operation, pieces: lots.scrap_pieces(session, here(), operation.id, pieces, "burr"),
        "hold": lambda operation, pieces: lots.hold_pieces(session, here(), operation.id, pieces, "burr"),
        "take off": lambda operation, _: lots.take_off(session, here(), operation.id),
        "undo": lambda *_: lots.undo(session, here(), last_posting(session)),
    }


def last_posting(session):
    return session.scalars(
        sa.select(Posting.id).where(Posting.reverses_id.is_(None)).order_by(Posting.id.desc())
    ).first()


@pytest.mark.parametrize("seed", range(2))
def test_open_jobs_agree_with_the_ledger(session, clock, seed):
    draw = random.Random(seed)
    made = [make_lot(session, pieces=40, routing=routing_of(plan, single(1))) for plan in (BARS, single(2, setup=10))]
    station = station_of(made[0].operations[0])
    station.pallets = 2
    made[1].operations[0].work_center_id = station.work_center_id
    session.commit()
    todo, done = acts_at(session, station, lambda: clock.now), set()
    for _ in range(30):
        clock.forward(minutes=draw.choice([0, 1, 7, 30]))
        name, operation = draw.choice(list(todo)), draw.choice(made).operations[0]
        try:
            todo[name](operation, draw.randint(1, 6))
            done.add(name)
        except LedgerError:
            session.rollback()
        session.expire_all()
        agree(session, clock.now)
    assert len(done) >= 5


def agree(session, now):
    jobs = {job.id: job for job in session.scalars(sa.select(Job))}
    counted = counted_by_station(session, {job.operation_id for job in jobs.values()})
    begun = begun_jobs(session, {job.station_id for job in jobs.values()})
    opened = {each.job_id: each.opened for each in under_way(session, read_hours(session, now))}
    for each in begun:
        assert each.said.marks[-1][1].gone == (each.row is None)
        assert 0 <= each.said.made <= each.pieces <= each.said.came
    found = {each.row.id: each for each in begun if each.row is not None}
    assert set(found) == set(jobs)
    for job_id, job in jobs.items():
        here, each = counted.get((job.operation_id, job.station_id), 0), found[job_id]
        assert (each.left + here, each.said.begun_at) == (job.pieces, int(job.begun_at.timestamp()))
        assert here <= each.said.made
        assert (job_id in opened) == (each.left > 0)
        if job_id in opened:
            told = opened[job_id]
            assert told.pieces + told.counted <= each.pieces
            assert told.worked_s >= 0
            assert (told.started_at == int(now.timestamp())) >= (job.state is JobState.PAUSED)
            assert told.in_setup >= (job.state is JobState.SETTING_UP)
