"""From a shop and what is uncertain about it to arrays."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from hashlib import blake2b
from math import ceil, sqrt

from app.core.calendars import HORIZON_S
from app.core.chances import arrays as c
from app.core.chances.kernels.generator import CHANCE
from app.core.chances.spreads import Spread, exponential
from app.core.chances.uncertainty import Breakdowns, NewOrders, Uncertainty
from app.core.planning import arrays as a
from app.core.planning.kernels.outside import DAY
from app.core.planning.kernels.times import done_ms, whole_seconds
from app.core.planning.packing import Packing, pack
from app.core.shop import Lot, Shop
from app.core.taking import Batch, LeadTime, Purchase

MOST_ORDERS = 400


@dataclass(slots=True)
class Case:
    """A shop packed for replications.

    Attributes:
        shop: as it was given.
        packing: the shop with the lots that stand for new orders, and calendars of their own for stations that
            break down.
        draws: what is uncertain, as the kernels read it.
        lots: the place in the arrays of each lot of the shop, in its order.
    """

    shop: Shop
    packing: Packing
    draws: list[int]
    lots: list[int] = field(default_factory=list)


def key_of(*parts: str) -> int:
    """Return a number of 63 bits that stands for some text."""
    text = "\0".join(parts).encode()
    return int.from_bytes(blake2b(text, digest_size=8).digest()) >> 1


def pack_case(shop: Shop, uncertainty: Uncertainty, days: int, until: int) -> Case:
    """Pack a shop, its calendars laid out for so many days; breakdowns and new orders end after ``until`` seconds."""
    ghosts = _ghosts(shop, uncertainty, until)
    packing = pack(replace(shop, lots=(*shop.lots, *ghosts)), days)
    places = {lot.key: place for place, lot in enumerate(packing.lots)}
    packer = _Draws(packing, uncertainty, until)
    stations = [row for key, downs in uncertainty.stations.items() for row in packer.breakdowns(key, downs)]
    tables = {
        c.D_OPS: packer.operations(),
        c.D_STATIONS: stations,
        c.D_LOADS: packer.loads(),
        c.D_RETURNS: packer.returns(),
        c.D_ARRIVALS: packer.arrivals(),
        c.D_NEW: [[places[ghost.key]] for ghost in ghosts],
        c.D_DOWN: [[0, 0] for _ in range(c.MOST_BREAKDOWNS)],
    }
    return Case(shop, packing, packer.flat(tables), [places[lot.key] for lot in shop.lots])


def _ghosts(shop: Shop, uncertainty: Uncertainty, until: int) -> tuple[Lot, ...]:
    """Return lots for as many new orders as could come; they count for nothing themselves."""
    orders = uncertainty.orders
    if orders is None:
        return ()
    expected = until / orders.mean_s
    count = min(MOST_ORDERS, ceil(expected + 4 * sqrt(expected)) + 1)
    return tuple(_ghost(shop, orders, number) for number in range(count))


def _ghost(shop: Shop, orders: NewOrders, number: int) -> Lot:
    """Return a lot that stands for the next but ``number`` new order, due as if it came when expected."""
    like = orders.like[number % len(orders.like)]
    comes = shop.now + (number + 1) * orders.mean_s
    due = None if like.due is None else comes + like.due - like.released
    key = f"new order {number}"
    return replace(like, key=key, number=f"~{number:03}", due=due, released=0, pinned=None, hold=None, weight=0)


class _Draws:
    """What is uncertain, on its way to an array."""

    def __init__(self, packing: Packing, uncertainty: Uncertainty, until: int) -> None:
        self.packing = packing
        self.uncertainty = uncertainty
        self.until = until
        self.values = [0] * c.HEAD
        self._known: dict[tuple[int, ...], tuple[int, int]] = {}
        self._spreads: dict[int, tuple[Spread, int, int]] = {}

    def flat(self, tables: dict[int, list[list[int]]]) -> list[int]:
        """Return the head, the tables of values, and the tables of rows."""
        values, orders = self.values, self.uncertainty.orders
        values[c.D_TOGETHER], values[c.D_TOGETHER_SIZE] = self.spread(self.uncertainty.together)
        values[c.D_EXPONENTIAL], values[c.D_EXPONENTIAL_SIZE] = self.spread(exponential())
        for place, rows in tables.items():
            values[place] = len(values)
            for row in rows:
                values += row
        for count, counted in _COUNTED.items():
            values[count] = len(tables[counted])
        values[c.D_NEW_GAP] = 0 if orders is None else orders.mean_s
        values[c.D_NEW_UNTIL] = self.until
        return values

    def table(self, content: Sequence[int]) -> tuple[int, int]:
        """Return where a table of ascending values begins, and its size."""
        key = tuple(content)
        if key not in self._known:
            self._known[key] = len(self.values), len(key)
            self.values += key
        return self._known[key]

    def spread(self, spread: Spread) -> tuple[int, int]:
        """Return where the factors of a spread begin, and how many there are."""
        if not spread.factors:
            return 0, 0
        if id(spread) not in self._spreads:  # quicker than by their factors, of which there are many
            self._spreads[id(spread)] = (spread, *self.table(spread.factors))
        _, first, size = self._spreads[id(spread)]
        return first, size

    def operations(self) -> list[list[int]]:
        """Return a row for each operation."""
        rows = []
        for op, (place, _) in enumerate(self.packing.operations):
            lot, operation = self.packing.lots[place].key, self.packing.operation(op)
            odds, row = self.uncertainty.of(lot, operation.key), [0] * c.OP_DRAWS
            row[c.W_KEY] = row[c.W_CYCLE_KEY] = key_of(lot, operation.key)
            row[c.W_SETUP], row[c.W_SETUP_SIZE] = self.spread(odds.setup)
            row[c.W_CYCLE], row[c.W_CYCLE_SIZE] = self.spread(odds.work)
            if isinstance(operation.taking, Batch):
                row[c.W_CYCLE_KEY] = key_of(operation.taking.recipe)
            if isinstance(operation.taking, LeadTime) and odds.days_late:
                row[c.W_DAYS], row[c.W_DAYS_SIZE] = self.table(sorted(odds.days_late))
            if not isinstance(operation.taking, Purchase):
                row[c.W_SCRAP] = round(odds.scrap * CHANCE)
            rows.append(row)
        return rows

    def loads(self) -> list[list[int]]:
        """Return a row for each load under way: its work behind the pieces counted, and what of it is done.

        Where the pieces were counted is known: only what comes after them is uncertain.
        """
        rows, tables = [], self.packing.tables
        for load in tables.under_way:
            pair = tables.ops[load[a.U_OP]] + tables.stations[load[a.U_STATION]]
            counted = load[a.U_COUNTED]
            whole = counted + load[a.U_PIECES]
            work = whole_seconds(done_ms(pair, 0, a.OP_COLUMNS, whole, whole, -1))
            if counted:
                work -= whole_seconds(done_ms(pair, 0, a.OP_COLUMNS, counted, whole, -1))
            rows.append([work - min(0, load[a.U_DONE_WORK]), max(0, load[a.U_DONE_WORK])])
        return rows

    def returns(self) -> list[list[int]]:
        """Return a row for each return of pieces that are outside."""
        shop, receiving = self.packing.shop, self.packing.shop.receiving
        rows = []
        for op, sent in _outside(self.packing):
            row = self.packing.tables.ops[op]
            for number, second in enumerate(sent):
                sent_at = max(second, shop.now - HORIZON_S)
                back = receiving.after_days(sent_at, row[a.O_DAYS], working_days=bool(row[a.O_WORKING])) - shop.now
                rows.append(self._outside_row(op, number, back))
        return rows

    def arrivals(self) -> list[list[int]]:
        """Return a row for each delivery."""
        rows = []
        for op in range(len(self.packing.operations)):
            taking, row = self.packing.operation(op).taking, self.packing.tables.ops[op]
            if isinstance(taking, Purchase) and row[a.O_ARRIVALS_END] > row[a.O_ARRIVALS]:
                times = sorted(each.time - self.packing.shop.now for each in taking.arrivals)
                rows += [self._outside_row(op, number, time) for number, time in enumerate(times)]
        return rows

    def _outside_row(self, op: int, number: int, time: int) -> list[int]:
        lot = self.packing.lots[self.packing.operations[op][0]].key
        operation = self.packing.operation(op).key
        days = self.uncertainty.of(lot, operation).days_late
        row = [0] * c.OUTSIDE_DRAWS
        row[c.A_KEY], row[c.A_TIME] = key_of(lot, operation, str(number)), time
        row[c.A_DAYS], row[c.A_DAYS_SIZE] = self.table(sorted(days)) if days else (0, 0)
        row[c.A_OVERDUE] = -time // DAY if time < 0 else -1
        return row

    def breakdowns(self, key: str, downs: Breakdowns) -> Iterable[list[int]]:
        """Give a station calendars of its own and return its row; a station that is not of the shop has none."""
        keys = [station.key for station in self.packing.shop.stations]
        if key not in keys:
            return
        station, row = keys.index(key), [0] * c.STATION_DRAWS
        where = self.packing.tables.stations[station]
        row[c.B_STATION], row[c.B_KEY], row[c.B_MEAN] = station, key_of(key), downs.mean_s
        row[c.B_REPAIRS], row[c.B_REPAIRS_SIZE] = self.table(sorted(downs.repairs_s))
        row[c.B_ATTENDED], row[c.B_RUNNING] = where[a.S_ATTENDED], where[a.S_RUNNING]
        row[c.B_UNTIL] = self.until
        where[a.S_ATTENDED] = self._own_calendar(row[c.B_ATTENDED])
        alike = row[c.B_RUNNING] == row[c.B_ATTENDED]
        where[a.S_RUNNING] = where[a.S_ATTENDED] if alike else self._own_calendar(row[c.B_RUNNING])
        yield row

    def _own_calendar(self, calendar: int) -> int:
        """Return the number of a copy of a calendar with room for as many more spans as there may be breakdowns."""
        hours = self.packing.tables.hours
        first, end, whole = hours.calendars[calendar]
        begin = len(hours.spans)
        hours.calendars.append([begin, begin + end - first, whole])
        hours.spans += [*hours.spans[first:end], *([0] * a.SPAN_COLUMNS for _ in range(c.MOST_BREAKDOWNS))]
        return len(hours.calendars) - 1


_COUNTED = {
    c.D_STATIONS_COUNT: c.D_STATIONS,
    c.D_ARRIVALS_COUNT: c.D_ARRIVALS,
    c.D_NEW_COUNT: c.D_NEW,
}


def _outside(packing: Packing) -> Iterable[tuple[int, list[int]]]:
    """Return the operations with pieces outside, with when they were sent, in the order of the shop's returns."""
    sent: dict[int, int] = {}
    for row in packing.tables.returns:
        sent[row[a.B_OP]] = sent.get(row[a.B_OP], 0) + 1
    for op, count in sent.items():
        jobs = packing.operation(op).open_jobs
        yield op, [job.started_at for job in jobs[:count]]
