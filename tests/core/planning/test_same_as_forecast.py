"""The decoder plans what the forecast plans, on every shop that the forecast knows all rules of."""

from collections import Counter
from dataclasses import replace

from hypothesis import given

from app.core.forecast import forecast
from app.core.planning import arrays as a
from app.core.planning.decoding import decode
from app.core.planning.outcome import plan_of_arrays, run_rows
from app.core.shop import Shop
from tests.core.forecast.generated import shops


@given(shop=shops())
def test_the_decoder_plans_what_the_forecast_plans(shop: Shop) -> None:
    shop = replace(shop, stations=tuple(replace(each, pallets=1) for each in shop.stations))
    said, decoded = forecast(shop), decode(shop)
    plan = plan_of_arrays(decoded)
    assert [(one.lot, one.status, one.finish) for one in plan.lots] == [
        (lot.key, said.lots[lot.key].status, said.lots[lot.key].finish) for lot in shop.lots
    ]
    mine: Counter[tuple[object, ...]] = Counter()
    for run in run_rows(decoded):
        lot, index = decoded.packing.operations[run[a.R_OP]]
        station = None if run[a.R_STATION] < 0 else shop.stations[run[a.R_STATION]].key
        times = (run[a.R_START] + shop.now, run[a.R_END] + shop.now, run[a.R_ARRIVED] + shop.now)
        mine[decoded.packing.lots[lot].key, index, station, run[a.R_PIECES], run[a.R_SETUP], *times] += 1
    theirs: Counter[tuple[object, ...]] = Counter()
    for one in said.lots.values():
        for index, operation in enumerate(one.operations):
            for each in operation.runs:
                times = (each.start, each.end, each.arrived)
                theirs[one.key, index, each.station, each.pieces, each.setup_s, *times] += 1
    assert mine == theirs
