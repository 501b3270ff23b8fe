"""The calibration's forecaster sees nothing of its world but what was recorded by then."""

from dataclasses import replace

from app.core.shop import Shop
from tests.bench.forecaster import history_of, uncertainty_of
from tests.bench.worlds import DAY, HOUR, START, WEEK, as_the_books_show, make_world


def test_another_future_with_the_same_books_gives_the_same_forecast() -> None:
    now = START + 12 * WEEK + 6 * HOUR
    world = make_world(1)
    shop = as_the_books_show(world, now)
    seen, taught = _told(shop), uncertainty_of(world, shop)
    for key, signed in world.signed.items():
        if signed > now:  # nobody has recorded it yet: it may end whenever it likes
            world.signed[key] = signed + 40 * DAY
            world.runs[key] = replace(world.runs[key], end=world.runs[key].end + 30 * DAY)
    for key, downs in world.downtimes.items():
        world.downtimes[key] = [each for each in downs if each.start <= now]
    world.lots = [lot for lot in world.lots if lot.released <= now]
    world.finish.clear()
    again = as_the_books_show(world, now)
    assert _told(again) == seen
    assert uncertainty_of(world, again) == taught


def _told(shop: Shop) -> tuple[object, ...]:
    return shop.lots, [(station.key, station.calendar.hours) for station in shop.stations]


def test_the_books_know_late_sign_offs_late_and_new_lots_not_at_all() -> None:
    now = START + 12 * WEEK + 6 * HOUR
    world = make_world(2)
    shop = as_the_books_show(world, now)
    assert all(lot.released <= now for lot in shop.lots)
    done_unsigned = {key for key, run in world.runs.items() if run.end <= now < world.signed[key]}
    shown = {(lot.key, lot.operations[0].key) for lot in shop.lots if lot.operations[0].open_jobs}
    assert {(lot, str(index)) for lot, index in done_unsigned} <= shown
    assert 0 < len(history_of(world, shop).work) < len(world.runs)
