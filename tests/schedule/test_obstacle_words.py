"""What keeps a lot from being planned, in words: every kind has a sentence, stored or not."""

from dataclasses import asdict

import pytest

from app.core.planning.obstacles import Figure, Obstacle, ObstacleKind
from app.schedule.queries.obstacles import obstacle_words, stored_obstacle_words

SENTENCES = {
    ObstacleKind.LOT_HELD: "On hold: mill.",
    ObstacleKind.PIECES_HELD: "Operation 20: 3 pieces are on hold.",
    ObstacleKind.BLANKS_NOT_ORDERED: "Operation 20: 3 blanks are not on order.",
    ObstacleKind.BLANKS_TOO_LATE: "Operation 20: 3 blanks are expected in more than ten years."
    " Check the day they are expected.",
    ObstacleKind.COMPONENT_MISSING: "Operation 20: waiting for component mill.",
    ObstacleKind.LOT_NOT_FINISHED: "Operation 20: waiting for lot mill, which cannot be finished.",
    ObstacleKind.LOTS_IN_A_LOOP: (
        "Operation 20: the lots mill wait for each other: each for the next, the last for the first. "
        "Take one of these components out."
    ),
    ObstacleKind.NO_OPENING: "Operation 20: its stations do not open again.",
    ObstacleKind.TOO_FEW_HOURS: (
        "Operation 20: its stations do not have the open hours for it within ten years. "
        "Check its time and its pieces too."
    ),
    ObstacleKind.NEVER_FITS: (
        "Operation 20: it must end before its station closes, and is longer than any of its open hours."
    ),
    ObstacleKind.SETUP_NEVER_FITS: (
        "Operation 20: it must end before its station closes, and with its set-up it is longer than any of its open "
        "hours. It fits only after work of the same family or fixture: put it behind such work, shorten its set-up, "
        "or let the station pause over closed hours."
    ),
    ObstacleKind.NO_PERSON: (
        "Operation 20: no shift has the people to set it up or to tend it while its stations are open."
    ),
    ObstacleKind.NO_RECEIVING: "Operation 20: the shop has no receiving hours for what comes back.",
    ObstacleKind.TOO_FAR_AHEAD: "Operation 20: it could not be done within ten years. Check its dates.",
    ObstacleKind.NO_SUCH_STATION: "Operation 20: none of these is a station in use: mill.",
    ObstacleKind.EMPTY_WORK_CENTER: "Operation 20: there is no station in mill.",
    ObstacleKind.SAME_KEY_TWICE: "Operation 20: two operations have this number.",
    ObstacleKind.NEGATIVE_COUNT: "Operation 20: a count of pieces is below zero.",
    ObstacleKind.JOB_WITHOUT_PIECES: "Operation 20: a job is under way without pieces.",
    ObstacleKind.JOB_ELSEWHERE: "Operation 20: a job is under way at mill, which is no station of this shop.",
    ObstacleKind.WEIGHT_NOT_KNOWN: "Operation 20: its batch is bounded by weight, but a piece's weight is not known.",
    ObstacleKind.PIECE_TOO_HEAVY: "Operation 20: a piece of 3 g is too heavy for a batch of at most 2 g.",
}


@pytest.fixture(autouse=True)
def _words(app):
    with app.app_context():
        yield


@pytest.mark.parametrize("kind", [kind for kind in ObstacleKind if not kind.name.startswith("FIGURE")])
def test_every_kind_has_its_sentence(kind):
    operation = "" if kind is ObstacleKind.LOT_HELD else "20"
    found = Obstacle(kind, operation, "mill", number=3, most=2)
    assert obstacle_words(found) == stored_obstacle_words(asdict(found)) == SENTENCES[kind]


@pytest.mark.parametrize("figure", list(Figure))
def test_every_figure_has_a_name(figure):
    found = Obstacle(ObstacleKind.FIGURE_NOT_ABOVE_ZERO, "20", figure=figure, number=0)
    said = stored_obstacle_words(asdict(found))
    assert said.startswith("Operation 20: the ")
    assert said.endswith(" must be above zero, not 0.")
    below = Obstacle(ObstacleKind.FIGURE_BELOW_ZERO, "20", figure=figure, number=-1)
    assert stored_obstacle_words(asdict(below)).endswith(" is below zero.")


def test_a_time_that_is_not_above_zero_has_its_unit():
    cycle = Obstacle(ObstacleKind.FIGURE_NOT_ABOVE_ZERO, "20", figure=Figure.CYCLE_TIME, number=-60_000)
    assert obstacle_words(cycle) == "Operation 20: the cycle time must be above zero, not -60000 ms."
    load = Obstacle(ObstacleKind.FIGURE_NOT_ABOVE_ZERO, "20", figure=Figure.LOAD_PIECES, number=-2)
    assert obstacle_words(load) == "Operation 20: the number of pieces in a load must be above zero, not -2."


def test_a_lot_that_is_its_own_component_is_said_to_wait_for_itself():
    found = Obstacle(ObstacleKind.LOTS_IN_A_LOOP, "20", "L1", number=1)
    assert obstacle_words(found) == "Operation 20: lot L1 waits for itself. Take it out of its own components."


def test_one_piece_a_hold_without_a_reason_and_a_missing_work_center_are_said_in_plain_words():
    assert obstacle_words(Obstacle(ObstacleKind.PIECES_HELD, "20", number=1)) == "Operation 20: 1 piece is on hold."
    assert obstacle_words(Obstacle(ObstacleKind.LOT_HELD)) == "On hold."
    assert obstacle_words(Obstacle(ObstacleKind.EMPTY_WORK_CENTER, "20")) == "Operation 20: it names no work center."
