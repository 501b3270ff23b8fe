"""The drawing of the graduated rule, whatever it is asked to draw."""

import re
from pathlib import Path
from xml.etree import ElementTree as ET

import jinja2
import pytest
from hypothesis import given
from hypothesis import strategies as st

TEMPLATES = Path(__file__).parents[2] / "templates"
MOST_GRADUATIONS = 110
SHARES = st.floats(0, 1, allow_nan=False)
OPERATIONS: st.SearchStrategy[list[dict[str, object]]] = st.lists(
    st.builds(
        dict,
        number=st.integers(1, 990),
        name=st.sampled_from(["Saw", "Mill <first> side", "Drill & tap"]),
        hours=st.floats(0, 5000, allow_nan=False),
        passed=SHARES,
        held=SHARES,
    ),
    max_size=12,
)


@pytest.fixture(scope="module")
def draw():
    environment = jinja2.Environment(
        loader=jinja2.FileSystemLoader(TEMPLATES), autoescape=True, extensions=["jinja2.ext.i18n"], trim_blocks=True
    )
    environment.install_null_translations(newstyle=True)  # type: ignore[attr-defined]  # the extension adds it
    rule = environment.get_template("shared/_rule.html").module.rule  # type: ignore[attr-defined]  # a macro

    def drawn(operations, **how):
        return ET.fromstring(str(rule(operations, "L00417D", **how)))  # noqa: S314 - our own template

    return drawn


def operation(number: int, hours: float, passed: float = 0, held: float = 0) -> dict[str, object]:
    return {"number": number, "name": f"Step {number}", "hours": hours, "passed": passed, "held": held}


def share(element: ET.Element, name: str) -> float:
    return float(element.get(name, "0").removesuffix("%"))


def length(line: ET.Element) -> float:
    return float(line.get("y2", "0")) - float(line.get("y1", "0"))


def of_class(figure: ET.Element, name: str) -> list[ET.Element]:
    return [each for each in figure.iter() if name in each.get("class", "").split()]


@given(operations=OPERATIONS, finish=st.none() | st.floats(0, 50), size=st.sampled_from(["page", "row", "station"]))
def test_anything_is_drawn_inside_the_rule_with_few_enough_graduations(draw, operations, finish, size):
    figure = draw(operations, finish=finish, today=finish, size=size)
    for each in figure.iter("rect"):
        assert -0.01 <= share(each, "x") <= 100.01
        assert share(each, "x") + share(each, "width") <= 100.05
    assert len(of_class(figure, "rule__tick")) <= MOST_GRADUATIONS
    words = figure.find("svg").get("aria-label")
    assert all(f"{each['number']} {each['name']}" in words for each in operations)


def test_a_lot_on_time_fills_the_whole_length_and_has_no_red(draw):
    figure = draw([operation(10, 3, 1), operation(20, 1)], finish=0.9)
    assert share(of_class(figure, "rule__body")[1], "width") == 100
    assert of_class(figure, "rule__over") == []
    assert [share(each, "width") for each in of_class(figure, "rule__pass")] == [75]


def test_a_late_lot_reaches_past_its_due_date_by_its_lateness(draw):
    """Late by a quarter of the time it had: the due line stands at 100 / 1.25."""
    figure = draw([operation(10, 3)], finish=1.25)
    assert share(of_class(figure, "rule__due")[0], "x1") == 80
    assert share(of_class(figure, "rule__over")[0], "width") == 20


def test_a_lot_that_is_hopelessly_late_still_shows_its_operations(draw):
    figure = draw([operation(10, 3)], finish=40)
    assert share(of_class(figure, "rule__due")[0], "x1") == pytest.approx(100 / 1.6, abs=0.01)


def test_held_pieces_are_hatched_behind_those_that_passed(draw):
    figure = draw([operation(10, 1, passed=0.5, held=0.25), operation(20, 1)])
    hatched = [each for each in figure.iter("rect") if each.get("fill") == "url(#rule-held)"]
    assert [(share(each, "x"), share(each, "width")) for each in hatched] == [(25, 12.5)]


def test_graduations_stand_at_whole_hours_and_every_fifth_and_tenth_is_longer(draw):
    figure = draw([operation(10, 20)])
    reach = {share(each, "x1"): length(each) for each in of_class(figure, "rule__tick")}
    by_hour = {round(where / 5 * 4) / 4: long for where, long in reach.items()}
    assert set(by_hour) >= {float(hour) for hour in range(1, 20)}
    assert by_hour[1.0] < by_hour[1.25] < by_hour[2.5]


@pytest.mark.parametrize(("finish", "order"), [(0.8, ["from", "when", "due"]), (1.2, ["from", "due", "when"])])
def test_the_words_under_the_rule_stand_in_the_order_of_time(draw, finish, order):
    figure = draw([operation(10, 1)], finish=finish, released="from", expected="when", due="due")
    assert re.findall(r"\w+", "".join(figure.find("figcaption").itertext())) == order
