"""``lotwright schedule run`` as a person types it."""

import json
from importlib import import_module

import pytest

from app.cli import main
from app.core.any_problem import read_any_problem
from app.core.plan_check import check
from app.core.planning.problem_file import write_problem
from app.core.planning.result_file import read_plan
from tests.bench.cases.shop_cases import make_case
from tests.core.planning.every_rule import draw_shop
from tests.core.shops import shop, station
from tests.published.job_shops import texts


@pytest.fixture
def said(tmp_path, capsys, monkeypatch):
    """Return a function that runs a command on a problem and gives exit code, output and errors."""
    monkeypatch.setenv("LOTWRIGHT_DATA", str(tmp_path))
    # What is compiled is the same in plain Python, which needs no half a minute to begin.
    monkeypatch.setattr(import_module("app.cli.schedule"), "engine", lambda folder: None)

    def run(problem: str, *options: str) -> tuple[int, str, str]:
        file = tmp_path / "problem"
        file.write_text(problem, encoding="utf-8")
        with pytest.raises(SystemExit) as ended:
            main(["schedule", "run", str(file), *options])
        out, err = capsys.readouterr()
        return int(ended.value.code or 0), out, err

    return run


TOO_SHORT = {
    "name": "by hand",
    "calendars": [[[420, 690]], [[0, 10_000]]],
    "station_calendar": [0, 1],
    "lots": [
        {"release": 0, "due": 960, "weight": 2, "operations": [[0, 200], [1, 45]]},
        {"release": 0, "due": 600, "weight": 1, "operations": [[0, 160]]},
    ],
}
KINDS = {
    "problem file": write_problem(draw_shop(1, lots=4, operations=3)),
    "case": json.dumps(make_case("heavy", 4, lots=6)),
    "case whose hours run out": json.dumps(TOO_SHORT),
    "published text": texts()["ft06"],
}


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize(
    "options",
    [
        (),
        ("--seconds", "0.05"),
        ("--iterations", "40", "--seed", "7", "--searches", "2"),
        ("--iterations", "40", "--objective", "makespan"),
        ("--iterations", "40", "--objective", "tardiness"),
    ],
    ids=" ".join,
)
def test_every_kind_of_file_takes_every_option_and_the_plan_is_proved(said, kind, options):
    code, out, _ = said(KINDS[kind], *options, "--json")
    assert code == 0
    assert {"status", "makespan", "weighted_tardiness", "late", "operations"} <= set(json.loads(out))
    assert {"lot", "index", "station", "start", "end"} <= set(json.loads(out)["operations"][0])
    assert check(read_any_problem(KINDS[kind]), read_plan(out)) == ()


@pytest.mark.parametrize("kind", ["problem file", "case"])
def test_due_dates_by_a_factor_are_only_for_a_published_text(said, kind):
    code, out, err = said(KINDS[kind], "--due-factor", "1.3")
    assert (code, out) == (2, "")
    assert "has due dates of its own: a factor is only for the text of a published instance" in err


def test_a_problem_is_planned_and_its_plan_passes_the_checker(said):
    problem = write_problem(draw_shop(1))
    code, out, _ = said(problem, "--json")
    assert code == 0
    assert check(read_any_problem(problem), read_plan(out)) == ()


def test_moves_make_a_better_plan_and_the_same_every_time(said):
    options = ("--objective", "makespan", "--searches", "2", "--json")
    before = json.loads(said(texts()["ft06"], *options)[1])
    first = said(texts()["ft06"], "--iterations", "1500", *options)[1]
    again = said(texts()["ft06"], "--iterations", "1500", *options)[1]
    assert first == again
    assert json.loads(first)["makespan"] < before["makespan"]
    assert check(read_any_problem(texts()["ft06"]), read_plan(first)) == ()


def test_a_search_is_for_some_seconds_or_some_moves(said):
    code, _, err = said(texts()["ft06"], "--seconds", "1", "--iterations", "5")
    assert (code, "--seconds or --iterations, not both" in err) == (2, True)


def test_a_plan_for_due_dates_is_proved_with_the_same_factor(said, tmp_path, capsys):
    (tmp_path / "plan.json").write_text(said(texts()["ft06"], "--due-factor", "1.1", "--json")[1], encoding="utf-8")
    with pytest.raises(SystemExit) as ended:
        main(["schedule", "check", str(tmp_path / "problem"), str(tmp_path / "plan.json"), "--due-factor", "1.1"])
    assert (ended.value.code or 0, "0 broken rules" in capsys.readouterr().out) == (0, True)


def test_a_published_instance_gets_due_dates(said):
    code, out, _ = said(texts()["ft06"], "--due-factor", "1.1")
    assert code == 0
    assert "weighted tardiness" in out
    assert not out.splitlines()[1].startswith("weighted tardiness 0 s")


def test_lots_that_cannot_be_planned_are_named(said):
    problem = json.loads(write_problem(draw_shop(1)))
    problem["lots"][0]["hold"] = "the customer asked"
    code, out, _ = said(json.dumps(problem))
    assert code == 0
    assert "L0: held." in out


def _with_lots(*operations: dict[str, object]) -> str:
    """Return a problem of a mill with a lot L1, L2, ... for each operation, of a minute where it is not told."""
    document = json.loads(write_problem(shop([station("mill")])))
    plain = {"key": "10", "work_center": "mill", "waiting": 1, "taking": {"kind": "single", "cycle_ms": 60_000}}
    document["lots"] = [
        {"key": f"L{number}", "number": str(number), "operations": [plain | operation]}
        for number, operation in enumerate(operations, 1)
    ]
    return json.dumps(document)


HEAVY = {"kind": "batch", "recipe": "", "time_ms": 60_000, "max_weight_g": 100, "piece_weight_g": 101}
REASONS = {
    "a piece beyond the bound of a batch": (
        [{"taking": HEAVY}],
        ["L1: bad input. Operation 10: a piece of 101 g is too heavy for a batch of at most 100 g."],
    ),
    "a time below zero": (
        [{"taking": {"kind": "single", "cycle_ms": -60_000}}],
        ["L1: bad input. Operation 10: the cycle time must be above zero, not -60000 ms."],
    ),
    "a work center without stations": (
        [{"work_center": "grinder"}],
        ["L1: no station. Operation 10: there is no station in grinder."],
    ),
    "a loop and a lot behind it": (
        [{"components": ["L2"]}, {"components": ["L3"]}, {"components": ["L1"]}, {"components": ["L2"]}],
        [
            f"L{number}: no components. Operation 10: the lots L1, L2, L3 wait for each other: each for the next, "
            "the last for the first. Take one of these components out."
            for number in (1, 2, 3)
        ]
        + ["L4: no components. Operation 10: waiting for lot L2, which cannot be finished."],
    ),
}


@pytest.mark.parametrize("options", [(), ("--iterations", "40")], ids=" ".join)
@pytest.mark.parametrize("case", REASONS)
def test_what_cannot_be_planned_is_told_with_its_reason_in_the_words_of_the_pages(said, case, options):
    operations, lines = REASONS[case]
    problem = _with_lots(*operations, {})
    code, out, _ = said(problem, *options)
    assert (code, out.splitlines()[2:]) == (0, lines)
    plan = read_plan(said(problem, *options, "--json")[1])
    assert [f"{one.lot}: {one.status}. {one.reason}" for one in plan.lots if one.finish is None] == lines
    assert check(read_any_problem(problem), plan) == ()


@pytest.mark.parametrize(
    ("option", "typed", "sentence"),
    [
        *(
            ("--due-factor", typed, "must be a plain number such as 1.3, above 0 and at most 1000.")
            for typed in ("soon", "-1", "0", "1000.1", "1e40000000", "1e3", "13/10", "1/0", "nan", "١", "")
        ),
        ("--seconds", "nan", "it must be a number of seconds"),
    ],
)
def test_figures_that_make_no_sense_are_refused_at_once(said, option, typed, sentence):
    code, _, err = said(texts()["ft06"], option, typed)
    assert (code, sentence in err) == (2, True)


@pytest.mark.parametrize(
    ("broken", "sentence"),
    [
        (lambda text: text[:200], "is not JSON"),
        (lambda text: text.replace('"now": ', '"when": ', 1), "when: is not known here"),
        (lambda text: text.replace('"kind": "single"', '"kind": "magic"'), "must be an object whose kind is one of"),
        (lambda text: text.replace('"key": "L0"', '"key": 7', 1), "lots[0].key: must be text, not 7"),
        (lambda _: "6 6\n1 2 3\n", "The first line promises 6 jobs"),
    ],
)
def test_a_broken_file_is_told_in_one_sentence(said, broken, sentence):
    code, out, err = said(broken(write_problem(draw_shop(1))))
    assert (code, out, sentence in err, "Traceback" in err) == (2, "", True, False)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-be"])
@pytest.mark.parametrize("kind", KINDS)
def test_a_mark_of_the_encoding_before_the_text_changes_nothing(said, tmp_path, capsys, kind, encoding):
    """``utf-16`` has its mark by itself; what shells write with ``>`` is in it or has a mark."""
    expected = said(KINDS[kind], "--json")[1]
    mark = "\ufeff" if encoding == "utf-16-be" else ""
    for name, text in (("marked", KINDS[kind]), ("plan", expected)):
        (tmp_path / name).write_bytes((mark + text).encode(encoding))
    with pytest.raises(SystemExit):
        main(["schedule", "run", str(tmp_path / "marked"), "--json"])
    assert capsys.readouterr() == (expected, "")
    with pytest.raises(SystemExit):
        main(["schedule", "check", str(tmp_path / "marked"), str(tmp_path / "plan")])
    assert capsys.readouterr().out.startswith("0 broken rules")


@pytest.mark.parametrize(
    ("held", "sentence"),
    [
        (b"\xff\xfe\x00", "bytes is no text (UTF-8 or UTF-16)."),
        (b"{\xff}", "bytes is no text (UTF-8 or UTF-16)."),
        (b"", "bytes is empty."),
        (b" \r\n", "bytes is empty."),
        (b"\xef\xbb\xbf", "bytes is empty."),
        (b"\xff\xfe", "bytes is empty."),
    ],
)
def test_what_is_no_text_or_none_at_all_is_told(tmp_path, capsys, held, sentence):
    file, plan = tmp_path / "bytes", tmp_path / "plan"
    file.write_bytes(held)
    plan.write_text(texts()["ft06"], encoding="utf-8")
    for arguments in (["run", str(file)], ["check", str(file), str(plan)], ["check", str(plan), str(file)]):
        with pytest.raises(SystemExit) as ended:
            main(["schedule", *arguments])
        assert (ended.value.code, sentence in capsys.readouterr().err) == (2, True)


NO_CHARACTER = "has a character that is none: '\\ud800'."


@pytest.mark.parametrize(
    ("written", "sentence"),
    [
        ({"lots": [{"key": "\ud800", "number": "1", "operations": []}]}, f"problem: lots[0].key: {NO_CHARACTER}"),
        ({"calendars": {"\ud800": {"zone": "UTC"}}}, f"problem: calendars: {NO_CHARACTER}"),
        ({"\ud800": 1}, f"problem: file: {NO_CHARACTER}"),
        ({"station_calendar": [], "name": "\ud800"}, f"problem: name: {NO_CHARACTER}"),
    ],
)
def test_half_a_character_is_refused_with_its_path_before_it_cannot_be_shown(said, written, sentence):
    problem = json.loads(KINDS["problem file"])
    code, out, err = said(json.dumps(written if "station_calendar" in written else problem | written))
    assert (code, out, sentence in err) == (2, "", True)


def test_a_character_that_is_written_in_halves_is_one(said):
    problem = json.loads(KINDS["problem file"])
    problem["lots"][0] |= {"key": "\N{GEAR}\N{NUT AND BOLT}", "hold": "\N{NUT AND BOLT}"}
    assert "\\ud83d\\udd29" in json.dumps(problem)
    code, out, _ = said(json.dumps(problem))
    assert (code, "\N{GEAR}\N{NUT AND BOLT}: held" in out) == (0, True)
