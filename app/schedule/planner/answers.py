"""How the planner answers: what it reads for each kind of question, and what it computes of it."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import asdict, replace
from datetime import date
from typing import Any, Final

from sqlalchemy import orm

from app.core.chances.simulation import PLAIN_REPLAYER, Replayer
from app.core.chances.uncertainty import Uncertainty
from app.core.planning import variations
from app.core.planning.forecasts import forecast
from app.core.planning.helping import Help
from app.core.planning.ranked import late_lots, late_together, lateness, lot_moves
from app.core.planning.remedies import LOTS_TRIED, Remedy, board_remedies, remedies
from app.core.promise import confident
from app.core.shop import Shop
from app.schedule import queries
from app.schedule.models import WhatIf
from app.schedule.queries import Asked, Snapshot
from app.schedule.queries.blanks import Delivery
from app.shared.words import gettext
from app.stations import queries as station_queries

SEED: Final = 20_261_127
REPLICATIONS: Final = 300
PLAIN_REPLICATIONS: Final = 10
"""Some 60 ms each for a hundred lots, and two dates are asked for: more would take longer than people wait."""
NAMED: Final = 12
"""So many lots that pay are named."""
NAMED_ON_BOARD: Final = 20
PLACES: Final = ("turn", "front")
"""Where a new lot could go."""


def replications(replayer: Replayer, plain: int = PLAIN_REPLICATIONS) -> int:
    """Return how many replications an answer takes to come within seconds, in plain Python ``plain``."""
    return plain if replayer is PLAIN_REPLAYER else REPLICATIONS


Answers = Iterator[dict[str, Any]]
"""An answer, or several, each better than the one before."""
Compute = Callable[[Replayer], Answers]
"""The rest of an answer once all is read: it needs no session."""


def _all_in_stock() -> str:
    """Say why there is nothing to make."""
    return gettext("All of it is finished in stock and free.")


def _told(problem: str) -> Compute:
    """Answer why there is nothing to compute."""
    return lambda _replayer: iter([{"problem": problem}])


def promise_answer(
    session: orm.Session, snapshot: Snapshot, uncertain: Callable[[], Uncertainty], asked: dict[str, Any]
) -> Compute:
    """Answer when an order could be finished: first as planned, then with the confidence that the owner chose."""
    due = date.fromisoformat(asked["due"]) if asked["due"] else None
    in_stock, rest = queries.from_stock(session, Asked(asked["revision_id"], asked["quantity"], due))
    if rest is None:
        return _told(_all_in_stock())
    wanted = queries.wanted_lot(session, snapshot.hours, rest)
    if isinstance(wanted, str):
        return _told(wanted)
    percent = station_queries.shop(session).promise_percent
    latest = snapshot.hours.cutoff(due) if due else None
    question, known = confident.Question(wanted.lot, latest, percent / 100), uncertain()

    def compute(replayer: Replayer) -> Answers:
        count = replications(replayer)
        places = confident.in_turn_and_first(snapshot.shop, question, replayer.engine)
        if places[0].obstacle is not None:
            yield {"problem": queries.no_date_words(places[0].obstacle)}
            return
        answer: dict[str, Any] = {
            "percent": percent,
            "by_due": due is not None,
            "replications": count,
            "in_stock": in_stock,
        }
        answer |= {name: _planned(snapshot, each) for name, each in zip(PLACES, places, strict=True)}
        yield answer
        for name, each in zip(PLACES, places, strict=True):
            found = confident.lived_through(each, known, question, replayer, seed=SEED, replications=count)
            answer = {**answer, name: {**answer[name], **_sure(found)}}
            yield answer

    return compute


def _planned(snapshot: Snapshot, found: confident.Planned) -> dict[str, Any]:
    """Return one of the two dates as planned, with the lots that get later for it."""
    payers = [move for move in found.moves if move.before and (move.after is None or move.after > move.before)]
    return {
        "plain": found.finish,
        "payers": queries.moves_of(snapshot, sorted(payers, key=lambda move: move.gain_s)[:NAMED]),
        "more": max(0, len(payers) - NAMED),
    }


def _sure(found: confident.Confident) -> dict[str, Any]:
    return {"sure": found.sure, "late_percent": None if found.late is None else round(100 * found.late)}


def remedies_answer(
    _session: orm.Session, snapshot: Snapshot, _uncertain: Callable[[], Uncertainty], asked: dict[str, Any]
) -> Compute:
    """Answer what would help a late lot, or without one the whole board."""
    if asked["lot_id"] is None:
        return lambda replayer: iter([_board_answer(snapshot, replayer)])
    key = next((key for key, opened in snapshot.lots.items() if opened.row.id == asked["lot_id"]), None)
    if key is None:
        return _told(gettext("This lot is finished: nothing of it is left to plan."))
    due = next(lot.due for lot in snapshot.shop.lots if lot.key == key)

    def compute(replayer: Replayer) -> Answers:
        before = forecast(snapshot.shop, replayer.engine).lots[key]
        late_s = lateness(before.finish, due)
        found = remedies(snapshot.shop, key, replayer.engine) if late_s else []
        yield {
            "lot_id": asked["lot_id"],
            "name": key,
            "finish": before.finish,
            "late_s": late_s,
            "remedies": [_remedy(snapshot, remedy) for remedy in found[:NAMED]],
        }

    return compute


def _board_answer(snapshot: Snapshot, replayer: Replayer) -> dict[str, Any]:
    shop, engine = snapshot.shop, replayer.engine
    before, found = forecast(shop, engine), board_remedies(shop, engine)
    late = late_lots(shop, before)
    return {
        "lot_id": None,
        "late_s": late_together(shop, before),
        "late_lots": late,
        "not_tried": max(0, late - LOTS_TRIED),
        "remedies": [_remedy(snapshot, remedy) for remedy in found[:NAMED_ON_BOARD]],
        "more": max(0, len(found) - NAMED_ON_BOARD),
    }


def _remedy(snapshot: Snapshot, found: Remedy) -> dict[str, Any]:
    step = found.step
    lot = snapshot.lots[step.lot] if step.lot else None
    operation = lot.operation(step.operation) if lot and step.operation else None
    return {
        **asdict(step),
        "lot_id": lot.row.id if lot else None,
        "purchases": _sooner(snapshot, lot.blanks, step.days) if lot and step.help is Help.BLANKS else [],
        "operation_id": operation.id if operation else None,
        "title": operation.title if operation else "",
        "station_id": snapshot.station_ids.get(step.station),
        "finish": found.finish,
        "saved_s": found.saved_s,
        "others_s": found.others_s,
        "total_s": found.total_s,
        "winners": queries.moves_of(snapshot, found.winners[:NAMED]),
        "more_winners": len(found.winners[NAMED:]),
        "losers": queries.moves_of(snapshot, found.losers[:NAMED]),
        "more_losers": len(found.losers[NAMED:]),
    }


def _sooner(snapshot: Snapshot, blanks: Iterable[Delivery], days: int) -> list[dict[str, Any]]:
    """Return which purchases were tried on which sooner day; none where blanks have to be ordered first."""
    tried = [(each, variations.sooner(snapshot.shop, each.time, days)) for each in blanks]
    moved = [(each, time) for each, time in tried if time < each.time]
    if any(each.line_id is None for each, _ in moved):
        return []
    return [
        {
            "line_id": each.line_id,
            "vendor": each.vendor,
            "before": each.day.isoformat() if each.day else "",
            "day": snapshot.hours.local_day(time).isoformat(),
        }
        for each, time in moved
    ]


def what_if_answer(
    session: orm.Session, snapshot: Snapshot, _uncertain: Callable[[], Uncertainty], asked: dict[str, Any]
) -> Compute:
    """Answer what a change of the shop would do to every lot."""
    in_stock, rest = _from_stock(session, asked)
    changed = _changed(session, snapshot, asked, rest)
    if isinstance(changed, str):
        return _told(changed)

    def compute(replayer: Replayer) -> Answers:
        before, after = forecast(snapshot.shop, replayer.engine), forecast(changed, replayer.engine)
        new = after.lots.get("new")
        due = next((lot.due for lot in changed.lots if lot.key == "new"), None)
        # How late a lot is that has no finish nobody can say: it is named, and left out of the sums on both sides.
        stuck = {key for key, lot in before.lots.items() if lot.finish is not None and after.lots[key].finish is None}
        rest = replace(snapshot.shop, lots=tuple(lot for lot in snapshot.shop.lots if lot.key not in stuck))
        yield {
            "stuck": len(stuck),
            "late_seconds_before": late_together(rest, before),
            "late_seconds_after": late_together(rest, after),
            "late_lots_before": late_lots(rest, before),
            "late_lots_after": late_lots(rest, after),
            "moves": queries.moves_of(snapshot, lot_moves(snapshot.shop, before, after)),
            "new": {"finish": new.finish, "late_s": lateness(new.finish, due)} if new else None,
            "in_stock": in_stock,
        }

    return compute


def _from_stock(session: orm.Session, asked: dict[str, Any]) -> tuple[int, Asked | None]:
    """Return how many pieces of a rush order are free in stock, and what is left to be made, if anything."""
    if asked["change"] != WhatIf.RUSH:
        return 0, None
    due = date.fromisoformat(asked["due"]) if asked["due"] else None
    return queries.from_stock(session, Asked(asked["revision_id"], asked["quantity"], due))


def _changed(session: orm.Session, snapshot: Snapshot, asked: dict[str, Any], to_make: Asked | None) -> Shop | str:
    """Return the shop as it would be, with what of a rush order is ``to_make``; or why nobody can say."""
    shop = snapshot.shop
    if asked["change"] == WhatIf.DOWN:
        station = next((key for key, each in snapshot.station_ids.items() if each == asked["station_id"]), "")
        return variations.with_downtime(shop, station, asked["until"])
    if asked["change"] == WhatIf.CLOSED:
        return variations.with_day_closed(shop, date.fromisoformat(asked["day"]))
    if asked["change"] == WhatIf.PERSON:
        if shop.people is None:
            return gettext(
                "No shift names its people yet, so they limit nothing. Name them first, under Stations, People."
            )
        setters = int(asked["setter"])
        return variations.with_people(shop, -setters, setters - 1, asked["crew"])
    return _all_in_stock() if to_make is None else _with_rush_order(session, snapshot, to_make)


def _with_rush_order(session: orm.Session, snapshot: Snapshot, to_make: Asked) -> Shop | str:
    """Return the shop with one lot more, or why nobody can say what that would be."""
    wanted = queries.wanted_lot(session, snapshot.hours, to_make)
    if isinstance(wanted, str):
        return wanted
    latest = snapshot.hours.cutoff(to_make.due) if to_make.due else None
    new = replace(wanted.lot, rush=True, due=latest)
    return replace(snapshot.shop, lots=(*snapshot.shop.lots, new))
