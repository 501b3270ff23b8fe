"""``lotwright schedule check`` as a person types it."""

from dataclasses import replace

import pytest

from app.cli import main
from app.core.planning.problem_file import write_problem
from app.core.planning.result_file import write_plan
from tests.core.plan_check.plans import forecast_plan
from tests.core.shops import lot, operation, shop, single, station

SHOP = shop([station("M")], lot("L", operation("10", single(1), waiting=5)))


@pytest.fixture
def proven(tmp_path, capsys):
    """Return a function that writes a problem and a plan, checks them, and gives exit code, output and errors."""

    def check(problem: str, plan: str) -> tuple[int, str, str]:
        files = tmp_path / "problem.json", tmp_path / "plan.json"
        for file, text in zip(files, (problem, plan), strict=True):
            file.write_text(text, encoding="utf-8")
        with pytest.raises(SystemExit) as ended:
            main(["schedule", "check", *map(str, files)])
        out, err = capsys.readouterr()
        return int(ended.value.code or 0), out, err

    return check


def test_a_right_plan_is_told_so(proven):
    assert proven(write_problem(SHOP), write_plan(forecast_plan(SHOP))) == (
        0,
        "0 broken rules in 1 run of 1 lot.\n",
        "",
    )


def test_each_rule_broken_is_a_line_and_the_exit_code_says_so(proven):
    plan = forecast_plan(SHOP)
    (run,) = plan.operations
    code, out, _ = proven(write_problem(SHOP), write_plan(replace(plan, operations=(replace(run, end=run.end - 1),))))
    first, *_, last = out.splitlines()
    assert code == 1
    assert first.startswith(f"wrong end: lot L operation 0 at M: its work is done at {run.end} ")
    assert last.endswith("broken rules in 1 run of 1 lot.")


@pytest.mark.parametrize(
    ("problem", "plan", "sentence"),
    [
        ("{}", "", "problem.json: format: must be"),
        ("2 2\n", "", "problem.json: The first line promises 2 jobs"),
        (write_problem(SHOP), "{", "plan.json: file: is not JSON"),
        (
            write_problem(SHOP),
            write_plan(forecast_plan(SHOP)).replace('"M"', '"\\udc00"'),
            "plan.json: operations[0].station: has a character that is none: '\\udc00'.",
        ),
    ],
)
def test_a_file_that_is_something_else_is_named_with_what_is_wrong(proven, problem, plan, sentence):
    code, out, err = proven(problem, plan)
    assert (code, out) == (2, "")
    assert sentence in err
