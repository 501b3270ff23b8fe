"""What an owner may choose of paper files and backups, what is refused beside its field, and when each is due."""

from datetime import UTC, datetime, time, timedelta
from pathlib import Path

import pytest

from app.safekeeping.models import PATIENCE, Health, Kept
from app.safekeeping.queries import get_safekeeping
from app.safekeeping.services import (
    TRY_AGAIN_AFTER,
    Wanted,
    ask_for_one,
    change_safekeeping,
    due_now,
    note_done,
    note_failed,
)
from app.shared.errors import RefusedError
from tests.factories.safekeeping import want_backup, want_paper
from tests.factories.stations import ClosureFactory, ShopFactory

ROOT = Path(__file__).resolve().parents[2]
NEXT = datetime(2026, 1, 7, 20, 0, tzinfo=UTC)
"""14:00 in Chicago on the day of the tests, whose clock says 09:00 there."""


@pytest.fixture(autouse=True)
def shop(session):
    return ShopFactory()


def kinds(session, now):
    return [row.kept for row in due_now(session, now)]


def problems(refused):
    return {problem.place: str(problem.error) for problem in refused.value.problems}


def test_nothing_is_due_before_a_folder_was_chosen(session, now):
    assert kinds(session, now + timedelta(days=30)) == []
    assert get_safekeeping(session, Kept.PAPER).health(now) is Health.OFF


def test_the_first_is_due_at_once_and_the_next_by_the_owners_times(session, now, tmp_path):
    row = want_paper(session, tmp_path / "paper", now)
    assert row.health(now) is Health.FIRST
    assert kinds(session, now) == [Kept.PAPER]
    note_done(session, Kept.PAPER, shown=now, name="set")
    assert kinds(session, NEXT - timedelta(seconds=1)) == []
    assert kinds(session, NEXT) == [Kept.PAPER]


def test_missed_times_are_caught_up_once(session, now, tmp_path):
    want_paper(session, tmp_path / "paper", now)
    note_done(session, Kept.PAPER, shown=now, name="set")
    later = now + timedelta(days=9)
    assert kinds(session, later) == [Kept.PAPER]
    note_done(session, Kept.PAPER, shown=later, name="set")
    assert kinds(session, later + timedelta(hours=4)) == []


def test_another_folder_gets_its_first_at_once_and_the_same_one_waits(session, now, tmp_path):
    want_paper(session, tmp_path / "paper", now)
    note_done(session, Kept.PAPER, shown=now, name="set")
    want_paper(session, tmp_path / "paper", now, times=(time(22),))
    assert kinds(session, now) == []
    row = want_paper(session, tmp_path / "other", now)
    assert (row.done_at, row.done_name) == (None, "")
    assert kinds(session, now) == [Kept.PAPER]


def test_an_empty_folder_turns_it_off(session, now, tmp_path):
    want_paper(session, tmp_path / "paper", now)
    row = change_safekeeping(session, Wanted(Kept.PAPER, "", ()), now)
    assert row.health(now) is Health.OFF
    assert kinds(session, now) == []


def test_what_failed_is_tried_again_after_a_while_and_at_once_when_asked(session, now, tmp_path):
    want_backup(session, tmp_path / "backups", now)
    note_failed(session, Kept.BACKUP, at=now, reason="The disk is full.")
    assert kinds(session, now + TRY_AGAIN_AFTER - timedelta(seconds=1)) == []
    ask_for_one(session, Kept.BACKUP, now)
    assert kinds(session, now) == [Kept.BACKUP]
    note_failed(session, Kept.BACKUP, at=now, reason="The disk is full.")
    assert kinds(session, now + TRY_AGAIN_AFTER) == [Kept.BACKUP]
    row = get_safekeeping(session, Kept.BACKUP)
    assert (row.health(now), row.failed_at, row.failure) == (Health.FAILED, now, "The disk is full.")
    note_done(session, Kept.BACKUP, shown=now, name="file")
    assert get_safekeeping(session, Kept.BACKUP).health(now) is Health.FINE


def test_it_is_old_when_what_was_due_is_not_there_after_a_while(session, now, tmp_path):
    want_paper(session, tmp_path / "paper", now)
    note_done(session, Kept.PAPER, shown=now, name="set")
    row = get_safekeeping(session, Kept.PAPER)
    assert row.next_at == NEXT
    assert row.health(NEXT + PATIENCE) is Health.FINE
    assert row.health(NEXT + PATIENCE + timedelta(seconds=1)) is Health.OLD


def test_a_day_that_was_closed_meanwhile_is_passed_over(session, now, tmp_path):
    want_paper(session, tmp_path / "paper", now)
    note_done(session, Kept.PAPER, shown=now, name="set")
    ClosureFactory(day=now.date())
    assert kinds(session, NEXT) == []
    assert get_safekeeping(session, Kept.PAPER).next_at == NEXT + timedelta(hours=16)


def test_a_clock_that_was_put_right_does_not_stop_it_for_years(session, now, tmp_path):
    want_paper(session, tmp_path / "paper", now)
    note_done(session, Kept.PAPER, shown=now + timedelta(days=2000), name="set")
    due_now(session, now)
    assert get_safekeeping(session, Kept.PAPER).next_at == NEXT


def test_everything_wrong_is_said_at_once(session, now):
    with pytest.raises(RefusedError) as refused:
        change_safekeeping(session, Wanted(Kept.PAPER, str(ROOT / "static"), (), ()), now)
    assert set(problems(refused)) == {"folder", "time_1", "weekdays"}
    assert get_safekeeping(session, Kept.PAPER).folder == ""


@pytest.mark.parametrize("inside", [".", "backups", ".."])
def test_a_backup_never_lies_among_files_that_are_shared(session, now, tmp_path, inside):
    paper = tmp_path / "shop" / "paper"
    (paper / "backups").mkdir(parents=True)
    want_paper(session, paper, now)
    with pytest.raises(RefusedError) as refused:
        want_backup(session, paper / inside, now)
    assert "holds everything" in problems(refused)["folder"]


def test_somebody_elses_index_is_not_overwritten(session, now, tmp_path):
    (tmp_path / "index.html").write_text("<title>The shop's own page</title>")
    with pytest.raises(RefusedError) as refused:
        want_paper(session, tmp_path, now)
    assert "not one of ours" in problems(refused)["folder"]


def test_an_index_that_is_no_file_is_left_alone_too(session, now, tmp_path):
    (tmp_path / "index.html").mkdir()
    with pytest.raises(RefusedError) as refused:
        want_paper(session, tmp_path, now)
    assert "not one of ours" in problems(refused)["folder"]


def test_one_that_has_no_folder_cannot_be_asked_for(as_owner):
    answer = as_owner.post("/safekeeping/paper/now")
    assert answer.status_code == 409
    assert "Choose its folder" in answer.text


SENT = {"paper-time_1": "06:00", "paper-weekdays": ["0", "1"], "paper-time_3": "14:30"}


def test_the_page_keeps_what_was_chosen(as_owner, session, tmp_path):
    answer = as_owner.post("/safekeeping/paper", data={**SENT, "paper-folder": str(tmp_path)})
    assert answer.status_code == 303
    session.rollback()
    row = get_safekeeping(session, Kept.PAPER)
    assert (row.folder, row.times, row.weekdays) == (str(tmp_path.resolve()), ["06:00", "14:30"], [0, 1])
    page = as_owner.get("/safekeeping").text
    assert "the first are being written" in page
    assert 'value="14:30"' in page


def test_what_is_wrong_is_said_beside_its_field_and_nothing_typed_is_lost(as_owner, session):
    data = {**SENT, "paper-folder": "/no/such/folder", "paper-time_1": "6 o'clock"}
    answer = as_owner.post("/safekeeping/paper", data=data)
    assert answer.status_code == 422
    assert "Enter a time of day" in answer.text
    data["paper-time_1"] = "06:00"
    answer = as_owner.post("/safekeeping/paper", data=data)
    errors = answer.text.split('id="paper-folder-errors"', 1)[1].split("</div>", 1)[0]
    assert "Make it first" in errors
    assert "/no/such/folder" in answer.text
    assert get_safekeeping(session, Kept.PAPER).folder == ""


def test_the_backups_number_and_time_are_needed(as_owner, tmp_path):
    sent = {"backup-folder": str(tmp_path), "backup-time_1": "", "backup-most_kept": "0"}
    answer = as_owner.post("/safekeeping/backup", data=sent)
    assert answer.status_code == 422
    assert "Enter a time of day, such as 18:30." in answer.text
    assert "It must be 1 or more." in answer.text


def test_it_says_when_a_backup_lies_on_the_databases_own_disk(as_owner, session, tmp_path, now):
    want_backup(session, tmp_path / "backups", now)
    assert "same disk as the database" in as_owner.get("/safekeeping").text


@pytest.mark.parametrize("path", ["/safekeeping/paper", "/safekeeping/backup", "/safekeeping/paper/now"])
def test_only_an_owner_may(as_setup_lead, path):
    assert as_setup_lead.post(path).status_code == 403
    assert as_setup_lead.get("/safekeeping").status_code == 403


def test_a_poll_shows_how_it_went_and_stops_asking(as_owner, session, tmp_path, now):
    want_paper(session, tmp_path / "paper", now)
    note_done(session, Kept.PAPER, shown=now, name="set")
    assert as_owner.post("/safekeeping/paper/now").status_code == 303
    poll = {"HX-Request": "true", "HX-Request-Type": "partial"}
    waiting = as_owner.get("/safekeeping/paper", headers=poll).text
    assert "Asked for" in waiting
    assert "hx-trigger" in waiting
    note_failed(session, Kept.PAPER, at=now, reason="The disk is full.")
    failed = as_owner.get("/safekeeping/paper", headers=poll).text
    assert "The disk is full." in failed
    assert "hx-trigger" not in failed
    assert as_owner.get("/safekeeping/nothing", headers=poll).status_code == 404
    assert as_owner.get("/safekeeping/paper").status_code == 303
