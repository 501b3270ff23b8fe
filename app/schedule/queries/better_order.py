"""The search for a better order of work: how far it is, what it proposes, and which order is in force."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any, Final

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.planning.ranked import LotMove, Ranks, late_lots, lot_moves, weighted_lateness
from app.core.planning.results import Forecast
from app.schedule.models import AcceptedPlan, OrderSearch, Proposal
from app.schedule.queries.snapshot import Snapshot
from app.schedule.queries.turns import ranks_in_force
from app.stations import queries as station_queries
from app.stations.models import Station

HOUR_S: Final = 3600
SHOWN_RUNS: Final = 8
"""So many of the next runs of a station are shown before and after; where those stay, the first that do not."""


@dataclass(frozen=True, slots=True)
class InForce:
    """A plan by which so many operations that are still to be done have their place, at some stations."""

    accepted: AcceptedPlan
    stations: list[str]
    operations: int


@dataclass(frozen=True, slots=True)
class OrderPage:
    """The last search, what is proposed, and the accepted plans that are in force, the last one first."""

    search: OrderSearch | None
    proposal: Proposal | None
    in_force: list[InForce]


def order_page(session: orm.Session) -> OrderPage:
    """Return what the page about the order of work shows; three statements."""
    return OrderPage(
        search=session.scalars(sa.select(OrderSearch).options(orm.joinedload(OrderSearch.asked_by))).one_or_none(),
        proposal=session.scalars(sa.select(Proposal)).one_or_none(),
        in_force=_plans_in_force(session),
    )


def _plans_in_force(session: orm.Session) -> list[InForce]:
    ranks = ranks_in_force()
    counted = (
        sa.select(ranks.c.accepted_plan_id, ranks.c.station_id, sa.func.count().label("operations"))
        .group_by(ranks.c.accepted_plan_id, ranks.c.station_id)
        .subquery()
    )
    rows = session.execute(
        sa.select(AcceptedPlan, Station.name, counted.c.operations)
        .join(counted, counted.c.accepted_plan_id == AcceptedPlan.id)
        .join(Station, Station.id == counted.c.station_id)
        .order_by(AcceptedPlan.id.desc(), Station.name)
        .options(orm.joinedload(AcceptedPlan.accepted_by))
    )
    found = []
    for plan, group in groupby(rows, key=lambda row: row[0]):
        parts = list(group)
        found.append(InForce(plan, [name for _, name, _ in parts], sum(operations for *_, operations in parts)))
    return found


def asked_gain_s(session: orm.Session) -> int:
    """Return how many seconds past due, by weight, an order has to gain at least to be proposed."""
    return HOUR_S * station_queries.shop(session).plan_gain_hours


def proposal_values(snapshot: Snapshot, before: Forecast, after: Forecast, ranks: Ranks) -> dict[str, Any]:
    """Return the columns of the proposal to go from one forecast to another by ranks."""
    shop = snapshot.shop
    return {
        "change_number": snapshot.change_number,
        "late_seconds_before": weighted_lateness(shop, before),
        "late_seconds_after": weighted_lateness(shop, after),
        "late_lots_before": late_lots(shop, before),
        "late_lots_after": late_lots(shop, after),
        "lots": moves_of(snapshot, lot_moves(shop, before, after)),
        "stations": changed_stations(snapshot.station_ids, before, after),
        "ranks": _operation_ranks(snapshot, after, ranks),
    }


def moves_of(snapshot: Snapshot, moves: Iterable[LotMove]) -> list[dict[str, Any]]:
    """Return moves as pages show them."""
    return [
        {
            "lot_id": snapshot.lots[move.lot].row.id,
            "name": move.lot,
            "before": move.before,
            "after": move.after,
            "gain_s": move.gain_s,
        }
        for move in moves
        if move.lot in snapshot.lots
    ]


def changed_stations(station_ids: Mapping[str, int], before: Forecast, after: Forecast) -> list[dict[str, Any]]:
    """Return the stations whose order differs anywhere, as ``Proposal.stations`` keeps them."""
    changed = []
    for key, station_id in station_ids.items():
        old, new = _runs_to_come(before, key), _runs_to_come(after, key)
        if old != new:
            left_out = _left_out(old, new)
            shown = {"before": old[left_out:][:SHOWN_RUNS], "after": new[left_out:][:SHOWN_RUNS]}
            changed.append({"station_id": station_id, "name": key, "left_out": left_out, **shown})
    return changed


def _runs_to_come(forecast: Forecast, station: str) -> list[str]:
    runs = [run for run in forecast.stations.get(station, ()) if not run.under_way]
    return [f"{run.lot}/{run.operation}" for run in runs]


def _left_out(old: Sequence[str], new: Sequence[str]) -> int:
    """Return how many first runs need not be shown, so that the first that differs is."""
    same = next((place for place, (one, other) in enumerate(zip(old, new, strict=False)) if one != other), None)
    if same is None:
        same = min(len(old), len(new))
    return same if same >= SHOWN_RUNS else 0


def _operation_ranks(snapshot: Snapshot, after: Forecast, ranks: Ranks) -> list[list[int]]:
    """Return (operation, rank, station) of what is ranked; the station is where its first run is planned."""
    found = []
    lots = {lot.key: lot for lot in snapshot.shop.lots}
    for (lot_key, index), rank in sorted(ranks.items(), key=lambda pair: pair[1]):
        stations = after.lots[lot_key].operations[index].stations
        if stations:
            operation = snapshot.lots[lot_key].operation(lots[lot_key].operations[index].key)
            found.append([operation.id, rank, snapshot.station_ids[stations[0]]])
    return found
