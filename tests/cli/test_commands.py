"""The commands, as a person types them: help with an example, plain errors with exit code 2, findings with 1."""

import io
import json
import re
import socket
import sqlite3
from datetime import UTC, datetime

import pytest
import sqlalchemy as sa

from app.cli import main
from app.cli.commands import commands
from app.cli.progress import shown_progress
from app.cli.serve import refuse_taken_port, trusted_hosts
from app.core.planning.problem_file import write_problem
from app.lots.services import begin
from app.people.models import Person
from app.schedule.queries import read_snapshot
from app.shared.schema import upgrade
from tests.factories.lots import act, make_ordered_lot, station_of
from tests.factories.stations import ShopFactory


@pytest.fixture
def run(database_url, tmp_path, monkeypatch, capsys):
    """Return a function that runs a command on the test's database and gives its exit code, output and errors."""
    monkeypatch.setenv("LOTWRIGHT_DATABASE_URL", database_url)
    monkeypatch.setenv("LOTWRIGHT_DATA", str(tmp_path / "data"))

    def run_command(*arguments: str) -> tuple[int, str, str]:
        with pytest.raises(SystemExit) as ended:
            main(arguments)
        out, err = capsys.readouterr()
        assert "Traceback" not in out + err
        return int(ended.value.code or 0), out, err

    return run_command


def leaves(command, path=()):
    if hasattr(command, "commands"):
        for name, each in command.commands.items():
            yield from leaves(each, (*path, name))
    else:
        yield path


@pytest.mark.parametrize("path", list(leaves(commands)), ids=" ".join)
def test_every_command_has_help_with_an_example(run, path):
    code, out, _ = run(*path, "--help")
    assert code == 0
    assert "Example" in out


def test_an_unknown_command_or_option_is_one_sentence(run):
    code, _, err = run("fly")
    assert code == 2
    assert "No such command" in err


@pytest.mark.parametrize("url", ["mysql://shop", "postgresql://nobody@localhost/shop", "c:/shop/lotwright.sqlite3"])
def test_an_address_of_another_database_is_one_sentence(run, monkeypatch, url):
    monkeypatch.setenv("LOTWRIGHT_DATABASE_URL", url)
    code, _, err = run("verify")
    assert code == 2
    assert "LOTWRIGHT_DATABASE_URL is not the address of a SQLite or PostgreSQL database" in err


@pytest.mark.parametrize("command", [("verify",), ("forecast",), ("upgrade",), ("backup", "copy.sqlite3")])
def test_a_mistyped_file_is_named_and_not_made(run, monkeypatch, tmp_path, command):
    missing = tmp_path / "mistyped.sqlite3"
    monkeypatch.setenv("LOTWRIGHT_DATABASE_URL", f"sqlite:///{missing.as_posix()}")
    code, _, err = run(*command)
    assert code == 2
    assert f"There is no database {missing.as_posix()}" in err
    assert not missing.exists()


def test_a_demo_in_a_folder_that_is_not_there_is_one_sentence(run, tmp_path):
    code, _, err = run("demo", "--build-only", "--database", str(tmp_path / "nowhere" / "demo.sqlite3"))
    assert code == 2
    assert f"There is no folder {tmp_path / 'nowhere'}." in err.replace("\n", "")


def test_user_add_makes_a_way_in(run, session):
    code, _, _ = run("user", "add", "Ada Vale", "--initials", "AV", "--role", "owner", "--password", "reed-bank-7")
    session.rollback()
    assert (code, session.scalars(sa.select(Person.name)).all()) == (0, ["Ada Vale"])
    code, _, err = run("user", "add", "Ada Vale", "--initials", "AV", "--password", "reed-bank-7")
    assert code == 2
    assert "Ada Vale" in err or "AV" in err


def test_verify_finds_nothing_and_then_names_what_differs(run, session):
    ShopFactory()
    lot = make_ordered_lot(session)
    assert run("verify")[0] == 0
    lot.operations[0].waiting = 49
    session.commit()
    code, out, _ = run("verify")
    assert code == 1
    assert "waiting is 49, the ledger says 50" in out


class Terminal(io.StringIO):
    """A stream that says a person watches it."""

    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize(("patience", "shown"), [(0.0, True), (3600.0, False)])
def test_a_bar_shows_only_when_patience_has_run_out(monkeypatch, patience, shown):
    watched = Terminal()
    monkeypatch.setattr("sys.stderr", watched)
    with shown_progress("Counting", patience=patience) as tell:
        tell(1, 2)
    assert ("Counting" in watched.getvalue() and "50%" in watched.getvalue()) is shown


def test_upgrade_tells_how_many_revisions_are_applied(tmp_path):
    told = []
    engine = sa.create_engine(f"sqlite:///{tmp_path / 'empty.sqlite3'}")
    upgrade(engine, lambda done, total: told.append((done, total)))
    engine.dispose()
    total = len(told)
    assert total >= 2
    assert told == [(done, total) for done in range(1, total + 1)]


def test_the_live_shop_is_exported_planned_and_proved_without_the_database(run, session, tmp_path, monkeypatch):
    ShopFactory()
    lot = make_ordered_lot(session)
    begin(session, act(station_id=station_of(lot.operations[0]).id), [lot.operations[0].id])
    session.commit()
    problem, plan = tmp_path / "shop.json", tmp_path / "plan.json"
    code, out, _ = run("schedule", "export", str(problem))
    assert (code, out) == (0, f"Problem written: {problem} (1 lot, 3 stations)\n")
    text = problem.read_text(encoding="utf-8")
    then = datetime.fromtimestamp(json.loads(text)["now"], UTC)
    assert text == write_problem(read_snapshot(session, then).shop)
    monkeypatch.setenv("LOTWRIGHT_DATABASE_URL", "sqlite:////nowhere/at/all.sqlite3")
    plan.write_text(run("schedule", "run", str(problem), "--json")[1], encoding="utf-8")
    assert "0 broken rules" in run("schedule", "check", str(problem), str(plan))[1]


def test_a_place_that_takes_no_export_is_one_sentence(run, session, tmp_path):
    ShopFactory()
    code, _, err = run("schedule", "export", str(tmp_path / "nowhere" / "shop.json"))
    assert (code, "cannot be written: No such file or directory" in err) == (2, True)


def test_forecast_lists_the_late_and_as_json_all_open_lots(run, session):
    ShopFactory()
    lot = make_ordered_lot(session)  # due long before the real present
    begin(session, act(station_id=station_of(lot.operations[0]).id), [lot.operations[0].id])
    session.commit()
    code, out, _ = run("forecast")
    assert code == 0
    assert "1 of 1 open lots are or will be late." in out
    assert re.search(r"due \w{3} \d+ \w{3} \d{4} \d\d:\d\d  expected \w{3} \d+", out)
    [found] = json.loads(run("forecast", "--json")[1])["lots"]
    assert set(found) == {"lot", "due", "expected_finish", "slack_seconds", "late", "reasons"}
    assert found["late"] is True


def test_import_names_the_bad_cell_and_keeps_nothing(run, session, tmp_path):
    ShopFactory()
    file = tmp_path / "orders.csv"
    file.write_text("customer,order\nBrightwater,\n", encoding="utf-8")
    code, _, err = run("import", "orders", str(file))
    assert code == 2
    assert err.startswith("Error: ")
    code, _, err = run("import", "parts", str(tmp_path / "missing.csv"))
    assert code == 2
    assert "missing.csv" in err


def test_backup_is_whole_and_never_overwrites(run, database_url, session, tmp_path):
    if not database_url.startswith("sqlite"):
        pytest.skip("a PostgreSQL backup is pg_dump's own")
    ShopFactory(name="Kept Shop")
    file = tmp_path / "backup.sqlite3"
    assert run("backup", str(file))[0] == 0
    with sqlite3.connect(file) as copy:
        assert copy.execute("SELECT name FROM shop").fetchall() == [("Kept Shop",)]
    copy.close()
    code, _, err = run("backup", str(file))
    assert code == 2
    assert "exists already" in err
    assert run("backup", str(tmp_path / "no" / "folder.sqlite3"))[0] == 2


def test_paper_writes_files_and_says_where_to_begin(run, session, tmp_path):
    ShopFactory()
    make_ordered_lot(session)
    folder = tmp_path / "paper"
    assert "Make it first" in run("paper", str(folder))[2]
    folder.mkdir()
    code, out, _ = run("paper", str(folder))
    assert code == 0
    assert str(folder / "index.html") in out
    assert len(list(folder.glob("*/traveler-*.html"))) == 1
    (folder / "index.html").write_text("the shop's own page")
    code, _, err = run("paper", str(folder))
    assert code == 2
    assert "not one of ours" in err


def test_paper_before_there_is_a_shop_is_one_sentence(run, session, tmp_path):
    code, _, err = run("paper", str(tmp_path))
    assert code == 2
    assert "The shop is not set up yet" in err


def test_upgrade_makes_a_backup_first(run, database_url, session, tmp_path):
    if not database_url.startswith("sqlite"):
        pytest.skip("a PostgreSQL backup is pg_dump's own")
    code, out, _ = run("upgrade")
    assert code == 0
    assert "Backup written" in out
    assert list((tmp_path / "data").glob("before-upgrade-*.sqlite3"))


def test_a_newer_or_older_database_is_refused_with_what_to_do(run, engine, session):
    with engine.begin() as connection:
        connection.execute(sa.text("UPDATE alembic_version SET version_num = '9999'"))
    assert "newer Lotwright" in run("verify")[2]
    with engine.begin() as connection:
        connection.execute(sa.text("UPDATE alembic_version SET version_num = '0001'"))
    code, _, err = run("verify")
    assert code == 2
    assert "lotwright upgrade" in err


def test_a_taken_port_is_said_plainly(live_port):
    with pytest.raises(Exception, match="is taken"):
        refuse_taken_port("127.0.0.1", live_port)


@pytest.fixture
def live_port():
    with socket.socket() as listening:
        listening.bind(("127.0.0.1", 0))
        listening.listen()
        yield listening.getsockname()[1]


def test_a_forged_host_is_refused_and_our_names_are_trusted(app, session):
    app.config["TRUSTED_HOSTS"] = trusted_hosts(["shop-pc", "192.168.7.2"])
    client = app.test_client()
    assert client.get("/sign-in", headers={"Host": "evil.example"}).status_code == 400
    for host in ("localhost:8080", "shop-pc:8080", "192.168.7.2:8080", "shop-pc.local"):
        assert client.get("/sign-in", headers={"Host": host}).status_code in {200, 303}
