"""The morning review: late and why, little slack, today, blanks, output and scrap, downtime, late records."""

from datetime import date, timedelta

import pytest

from app.lots.models import LotComponent
from app.lots.services import Scrap, SignOff, begin, hold_lot, record_earlier, sign_off, undo
from app.safekeeping.models import Kept
from app.safekeeping.services import note_done, note_failed
from app.schedule.models import LotChance
from app.stations.services import NewDowntime, add_downtime
from tests.factories.lots import act, make_lot, make_ordered_lot, make_routing, station_of
from tests.factories.safekeeping import want_backup, want_paper
from tests.factories.schedule import plan_now
from tests.factories.stations import ShopFactory
from tests.quality.measured import AtStation, measured_lot
from tests.statements import counted


@pytest.fixture(autouse=True)
def shop(session):
    return ShopFactory()


@pytest.fixture
def review(as_operator):
    def read():
        answer = as_operator.get("/review")
        assert answer.status_code == 200
        return " ".join(answer.text.split())

    return read


EVERY_OTHER = "Every other lot with a due date and an expected finish has at least a day of slack."


def section(page: str, name: str) -> str:
    return page.split(f'id="{name}"', 1)[1].split("</section>", 1)[0]


def test_the_first_address_leads_to_the_review(as_operator):
    assert as_operator.get("/").location == "/review"


def test_before_any_forecast_it_says_so_and_empty_lists_are_calm(review):
    page = review()
    assert "There is no forecast yet" in page
    assert page.count("Nobody can say without a forecast.") == 2
    assert "Nothing is late." not in page
    assert "Every station is up." in page


def test_a_late_lot_says_by_how_much_and_why_and_leads_to_its_plan(session, review, now):
    lot = make_ordered_lot(session, pieces=500, due=date(2026, 1, 8))
    plan_now(session, now)
    late = section(review(), "late")
    assert "late</span>" in late
    assert "longer than the time left" in late
    assert f'href="/schedule/lots/{lot.id}"' in late


def test_an_old_forecast_is_warned_of_and_not_said_to_be_on_its_way(session, review, clock):
    plan_now(session, clock.now)
    make_lot(session)
    assert "being brought up to date" in review()
    assert "the planner has not answered" not in review()
    clock.forward(hours=4)
    page = review()
    assert "This forecast is 4 h old, of Wed 7 Jan 09:00: the planner has not answered since. Start the server" in page
    assert "being brought up to date" not in page


def test_a_lot_on_hold_has_no_finish_and_says_why(session, review, now):
    lot = make_ordered_lot(session, due=date(2026, 1, 2))
    hold_lot(session, act(), lot.id, "drawing is unclear")
    plan_now(session, now)
    late = section(review(), "late")
    assert "no finish expected" in late
    assert "drawing is unclear" in late


def test_a_lot_on_hold_is_told_with_why_while_it_can_still_be_on_time(session, review, now):
    soon, far = make_ordered_lot(session, due=date(2026, 1, 8)), make_ordered_lot(session, due=date(2026, 2, 20))
    for lot in (soon, far):
        hold_lot(session, act(), lot.id, "drawing is unclear")
    plan_now(session, now)
    page = review()
    stopped = section(page, "stopped")
    assert "On hold</span>" in stopped
    assert "due Thu 8 Jan: drawing is unclear" in stopped
    assert stopped.count("<li>") == 1
    assert f'href="/schedule/lots/{soon.id}"' in stopped
    assert EVERY_OTHER in page


def test_a_stopped_lot_is_told_the_sooner_the_longer_it_takes(session, review, now):
    for pieces in (5, 5000):
        hold_lot(session, act(), make_ordered_lot(session, pieces=pieces, due=date(2026, 1, 20)).id, "gauge is away")
    plan_now(session, now)
    assert section(review(), "stopped").count("<li>") == 1


def test_on_a_friday_what_is_due_on_monday_is_due_soon(session, review, clock):
    hold_lot(session, act(), make_ordered_lot(session, pieces=5, due=date(2026, 1, 12)).id, "gauge is away")
    plan_now(session, clock.now)
    assert 'id="stopped"' not in review()
    clock.forward(days=2)
    plan_now(session, clock.now)
    assert "due Mon 12 Jan: gauge is away" in section(review(), "stopped")


def test_a_lot_that_waits_for_a_component_of_which_no_lot_is_released_is_told(session, review, now):
    lot = make_ordered_lot(session, due=date(2026, 1, 8))
    pin = make_routing().revision.part
    session.add(LotComponent(operation_id=lot.operations[1].id, part_id=pin.id, per_piece=1))
    session.commit()
    plan_now(session, now)
    stopped = section(review(), "stopped")
    assert "No components</span>" in stopped
    assert f"Waiting for component {pin.number} at operation 20: no lot of it is released" in stopped


def test_what_a_stopped_lot_needs_ordered_is_said_once_among_the_material(session, review, now):
    lot = make_lot(session, routing=make_routing(blanks=True), due_on=date(2026, 1, 8))
    lot.operations[0].lead_days = 0
    session.commit()
    plan_now(session, now)
    page = review()
    stopped = section(page, "stopped")
    assert "No blanks</span>" in stopped
    assert "see material to order" in stopped
    assert "not on order" not in page


def test_a_lot_that_nobody_can_do_is_told_long_before_it_is_late(session, review, now):
    lot = make_ordered_lot(session, due=date(2026, 3, 2))
    station_of(lot.operations[0]).active = False
    session.add(LotChance(lot_id=lot.id, late_permille=900, error_permille=20))  # of before the station went
    session.commit()
    plan_now(session, now)
    page = review()
    stuck = section(page, "stuck")
    assert "No station</span>" in stuck
    assert "there is no station in" in stuck
    assert f'href="/schedule/lots/{lot.id}"' in stuck
    assert EVERY_OTHER in page


def test_a_lot_with_little_slack_is_listed_with_what_is_left(session, review, now):
    make_ordered_lot(session, pieces=20, due=date(2026, 1, 7))
    plan_now(session, now)
    assert "2 h 30 min of slack, due Wed 7 Jan" in section(review(), "tight")


def test_each_station_shows_what_it_runs_today(session, review, now):
    lot = make_lot(session)
    plan_now(session, now)
    page = review()
    assert station_of(lot.operations[0]).name in page
    assert "10 Step 1" in page


def test_blanks_nobody_has_ordered_are_listed(session, review):
    make_lot(session, routing=make_routing(blanks=True))
    assert "50 pieces" in section(review(), "blanks")


def test_a_station_that_is_down_is_listed_with_the_guess(session, review, now):
    station = station_of(make_lot(session).operations[0])
    guess = NewDowntime(now - timedelta(hours=1), now + timedelta(hours=5), end_is_guess=True, reason="spindle noise")
    add_downtime(session, station.id, guess)
    down = section(review(), "down")
    assert "spindle noise" in down
    assert "(a guess)" in down


def test_yesterdays_output_and_scrap_leave_out_what_was_undone(session, review, now):
    yesterday = now - timedelta(days=1)
    lot = make_lot(session)
    op = lot.operations[0]
    wrong = sign_off(session, act(happened_at=yesterday, recorded_at=yesterday), [SignOff(op.id, 50)])
    undo(session, act(happened_at=yesterday, recorded_at=yesterday), wrong.id)
    result = SignOff(op.id, 44, (Scrap(2, "chatter"),))
    sign_off(session, act(happened_at=yesterday, recorded_at=yesterday), [result])
    page = review()
    assert "Output and scrap of Tue 6 Jan" in page
    assert "44 good pieces passed on" in page
    assert "2 scrapped" in page
    assert "chatter" in page


def test_what_was_recorded_late_is_listed(session, review, now):
    lot = make_lot(session)
    begin(session, act(station_id=station_of(lot.operations[0]).id), [lot.operations[0].id])
    record_earlier(session, act(happened_at=now, recorded_at=now), lot.operations[1].id, 40)
    assert "40 pieces" in section(review(), "recorded-late")


def test_a_lot_that_can_no_longer_give_enough_is_told_with_a_way_out(session, review):
    lot = make_ordered_lot(session)
    sign_off(session, act(), [SignOff(lot.operations[0].id, 40, (Scrap(10, "dropped"),))])
    page = review()
    assert "10 pieces short" in page
    assert f"/orders/{lot.deliveries[0].delivery.line.order_id}/cover" in page


@pytest.mark.parametrize("lots", [2, 12])
def test_its_statements_do_not_grow_with_the_lots(session, engine, as_owner, now, lots):
    routing, with_blanks = make_routing(operations=2), make_routing(operations=2, blanks=True)
    for _ in range(lots):
        ordered = make_ordered_lot(session, due=date(2026, 1, 6))  # late already
        station = station_of(ordered.operations[0])
        begin(session, act(happened_at=now - timedelta(days=1), station_id=station.id), [ordered.operations[0].id])
        make_lot(session, routing=with_blanks)
        lot = make_lot(session, routing=routing)
        yesterday = {"happened_at": now - timedelta(days=1), "recorded_at": now}
        record_earlier(session, act(**yesterday), lot.operations[1].id, 20)
        sign_off(session, act(**yesterday), [SignOff(lot.operations[0].id, 9, (Scrap(1, "burr"),))])
    plan_now(session, now)
    with counted(engine) as statements:
        page = as_owner.get("/review").text
    assert page.count("Say when it was finished") >= 2 * lots  # jobs left open, and pieces left behind
    assert len(statements) <= 25


def test_paper_files_and_backup_are_offered_calmly_until_they_are_set_up(review, as_owner):
    page = review()
    assert "Paper files: not set up" in page
    assert "/safekeeping" not in page
    assert 'href="/safekeeping"' in as_owner.get("/review").text
    assert "message--warning" not in page


def test_their_age_stands_in_the_review(session, review, now, tmp_path):
    want_paper(session, tmp_path / "paper", now)
    note_done(session, Kept.PAPER, shown=now - timedelta(hours=2), name="set")
    page = review()
    assert "Paper files of Wed 7 Jan 07:00" in page
    assert "2 h old" in page
    assert "message--warning" not in page


def test_old_or_failed_ones_are_loud(session, review, clock, tmp_path):
    want_paper(session, tmp_path / "paper", clock.now)
    want_backup(session, tmp_path / "backups", clock.now)
    note_done(session, Kept.PAPER, shown=clock.now, name="set")
    note_failed(session, Kept.BACKUP, at=clock.now, reason="The disk is full.")
    clock.forward(days=1)
    page = review()
    warning = page.split("message--warning", 1)[1].split("<ul", 1)[0]
    assert "Paper files: too old" in warning
    assert "One was due Wed 7 Jan 14:00" in warning
    assert "Backup: not written" in warning
    assert "The disk is full." in warning


def test_pieces_out_of_tolerance_are_told_until_something_is_decided(session, review):
    station = AtStation(session, measured_lot(session)).begin()
    assert 'id="out"' not in review()
    found = station.read("0.5012").nonconformance
    out = section(review(), "out")
    assert "1 piece held" in out
    assert f'href="/nonconformances/{found.id}">N1</a>' in out
    assert "1 Bore" in out


def test_a_drift_towards_a_limit_is_told_before_anything_is_out(session, review):
    station = AtStation(session, measured_lot(session, pieces=60)).begin()
    for nth in range(6):
        station.read(f"0.{5001 + nth // 2}", piece=1 + 5 * nth)
    drifts = section(review(), "drifts")
    # by hand: slope 0.0040 / 437.5 a piece, 0.5002 at 13.5, so 0.5005 at 46.3
    assert "reaches a limit at piece 47; the lot has 60." in drifts
    assert "26 was measured last" in drifts
