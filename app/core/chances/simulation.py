"""Many replications of a shop, and what they say of each lot."""

from bisect import bisect_right
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from itertools import pairwise
from math import ceil, fsum, sqrt
from typing import Final

from app.core.chances.kernels import replaying
from app.core.chances.packing import Case, pack_case
from app.core.chances.uncertainty import Uncertainty
from app.core.planning import arrays as a
from app.core.planning.decoding import PLAIN, Decoded, Engine, decode, make_arrays, set_ranks
from app.core.planning.kernels.outside import DAY
from app.core.planning.layout import LONGEST_DAYS
from app.core.planning.ranking import planned_order
from app.core.shop import Shop

REPLICATIONS: Final = 1000
SPARE_DAYS: Final = 14
"""Breakdowns and new orders are drawn for half as long again as the plan takes, and so many days."""


@dataclass(frozen=True, slots=True)
class Replayer:
    """The replications in one form, with the decoder in the same."""

    engine: Engine
    replay: Callable[[a.Packed, a.Packed, a.State, a.Column, a.Column, a.Column], None]
    draw: Callable[[a.Packed, a.Packed, a.Column, int, int], None]


PLAIN_REPLAYER: Final = Replayer(PLAIN, replaying.replay, replaying.draw_all)
"""Plain Python."""


@dataclass(frozen=True, slots=True)
class LotChances:
    """What becomes of a lot.

    Attributes:
        lot: its key.
        finishes: when it is finished in each replication that finishes it, ascending.
        replications: how many there were.
        late: in how many it is late or not finished; None when it has no due date.
    """

    lot: str
    finishes: tuple[int, ...] = field(repr=False)
    replications: int
    late: int | None

    def finish(self, share: float) -> int | None:
        """Return by when it is finished in that share of the replications; None when it is in fewer."""
        place = max(1, ceil(share * self.replications - 1e-9))
        return self.finishes[place - 1] if place <= len(self.finishes) else None

    @property
    def median(self) -> int | None:
        """By when it is as likely finished as not."""
        return self.finish(0.5)

    @property
    def chance_late(self) -> float | None:
        """The share of replications in which it is late."""
        return None if self.late is None else self.late / self.replications

    @property
    def standard_error(self) -> float | None:
        """The standard error of ``chance_late``, from two more replications of either kind, so that it is never zero.

        Source: A. Agresti and B. A. Coull, Approximate is better than 'exact', The American Statistician 52 (1998).
        """
        if self.late is None:
            return None
        count = self.replications + 4
        chance = (self.late + 2) / count
        return sqrt(chance * (1 - chance) / count)


@dataclass(frozen=True, slots=True)
class Simulation:
    """What the replications of a shop say.

    Attributes:
        lots: of each lot that can be planned to its end, in the order of the shop.
        tardiness: weighted seconds past due of each replication.
    """

    lots: tuple[LotChances, ...]
    tardiness: tuple[int, ...] = field(repr=False)

    @property
    def expected_tardiness(self) -> float:
        """The mean weighted tardiness, in seconds."""
        return sum(self.tardiness) / len(self.tardiness)


@dataclass(frozen=True, slots=True)
class Difference:
    """A mean difference and its standard error."""

    mean: float
    standard_error: float


def difference(one: Simulation, other: Simulation) -> Difference:
    """Return by how much the weighted tardiness of one plan is above that of another, replication by replication.

    Raises:
        ValueError: they have not as many replications, or fewer than two.
    """
    pairs = [first - second for first, second in zip(one.tardiness, other.tardiness, strict=True)]
    if len(pairs) < 2:
        raise ValueError("A difference needs two replications or more.")
    mean = sum(pairs) / len(pairs)
    variance = fsum((each - mean) ** 2 for each in pairs) / (len(pairs) - 1)
    return Difference(mean, sqrt(variance / len(pairs)))


@dataclass(slots=True)
class Ready:
    """A shop packed for a replayer.

    Attributes:
        shop, uncertainty, replayer: as they were given.
        until: no breakdown and no new order is drawn after so many seconds.
        days: for how many its calendars are laid out.
        size: runs an operation that there is room for.
        case: the arrays.
    """

    shop: Shop
    uncertainty: Uncertainty
    replayer: Replayer
    until: int
    days: int
    size: int
    case: Case

    def longer(self) -> None:
        """Lay the calendars out for longer."""
        self.days = min(LONGEST_DAYS, 3 * self.days)
        self.case = pack_case(self.shop, self.uncertainty, self.days, self.until)


def prepare(shop: Shop, uncertainty: Uncertainty, replayer: Replayer = PLAIN_REPLAYER) -> Ready:
    """Pack a shop for replications, its calendars laid out well past the end of its plan."""
    plan = decode(shop, replayer.engine)
    last = max(_finishes(plan, range(len(shop.lots))), default=0) // DAY
    days, until = min(LONGEST_DAYS, 3 * last + 8 * SPARE_DAYS), (3 * last // 2 + SPARE_DAYS) * DAY
    return Ready(shop, uncertainty, replayer, until, days, 2, pack_case(shop, uncertainty, days, until))


def simulate(
    ready: Ready, *, seed: int, replications: int = REPLICATIONS, order: Sequence[int] | None = None, threads: int = 1
) -> Simulation:
    """Live through a shop again and again.

    Args:
        ready: the shop.
        seed: the same one gives the same luck, whatever the ranks.
        replications: how many.
        order: the operations of the case by rank, in place of the ranks that the shop has.
        threads: how many replay side by side; compiled only. The result is the same.

    Raises:
        ValueError: no replication is asked for.
    """
    if replications < 1:
        raise ValueError("There must be one replication or more.")
    while True:
        parts, trouble, planned = _replayed(ready, order, seed, _shares(replications, threads))
        if trouble & a.TOO_FEW_ROWS:
            ready.size *= 4
        elif trouble & a.TOO_FEW_SPANS and ready.days < LONGEST_DAYS and _unfinished(parts, planned):
            ready.longer()
        else:
            return _summed(ready, parts, planned, replications)


def live_through(ready: Ready, *, seed: int, replication: int) -> Decoded:
    """Return one replication whole, with every run: what ``simulate`` draws and does for it."""
    packing, engine = ready.case.packing, ready.replayer.engine
    size = ready.size
    while True:
        base, own = (make_arrays(packing, engine, size) for _ in range(2))
        set_ranks(own, planned_order(packing))
        ready.replayer.draw(base.fixed, own.fixed, engine.array(ready.case.draws), seed, replication)
        engine.play(own.fixed, own.state)
        if not own.state[a.N_TROUBLE] & a.TOO_FEW_ROWS:
            return Decoded(packing, own)
        size *= 4


@dataclass(slots=True)
class _Part:
    """What some replications wrote: a row each."""

    count: int
    width: int
    out: a.Column

    def column(self, lot: int) -> list[int]:
        """Return when a lot was finished in each."""
        return [int(each) for each in self.out[1 + lot :: self.width]]

    @property
    def tardiness(self) -> list[int]:
        """The weighted tardiness of each."""
        return [int(each) for each in self.out[0 :: self.width]]


def _shares(replications: int, threads: int) -> list[tuple[int, int]]:
    """Return the first replication and the number of each thread."""
    cuts = [replications * n // threads for n in range(threads + 1)]
    return [(low, high - low) for low, high in pairwise(cuts) if high > low]


def _replayed(
    ready: Ready, order: Sequence[int] | None, seed: int, shares: Sequence[tuple[int, int]]
) -> tuple[list[_Part], int, list[int]]:
    """Return what the replications wrote, the trouble there was, and the lots that the plan finishes."""
    packing, engine = ready.case.packing, ready.replayer.engine
    ranks = planned_order(packing) if order is None else order
    base = make_arrays(packing, engine, ready.size)
    set_ranks(base, ranks)
    engine.play(base.fixed, base.state)
    planned = [lot for lot in ready.case.lots if _finishes(Decoded(packing, base), [lot])]
    width = len(packing.lots) + 1

    def part(share: tuple[int, int]) -> tuple[_Part, int]:
        own = make_arrays(packing, engine, ready.size)
        set_ranks(own, ranks)
        asked, out = engine.array([seed, *share, 0]), engine.array([0] * (width * share[1]))
        ready.replayer.replay(base.fixed, own.fixed, own.state, engine.array(ready.case.draws), asked, out)
        return _Part(share[1], width, out), int(asked[3])

    if len(shares) == 1:
        done = [part(shares[0])]
    else:
        with ThreadPoolExecutor(len(shares)) as pool:
            done = list(pool.map(part, shares))
    trouble = int(base.state[a.N_TROUBLE])
    for _, each in done:
        trouble |= each
    return [one for one, _ in done], trouble, planned


def _finishes(decoded: Decoded, lots: Iterable[int]) -> list[int]:
    """Return when those of some lots are finished that are, in seconds from now."""
    fixed, state = decoded.arrays
    rows = (fixed[a.F_JOURNEYS] + lot * a.STATE_LOT_COLUMNS for lot in lots)
    return [int(state[row + a.Z_FINISH]) for row in rows if state[row + a.Z_LEFT] == 0]


def _unfinished(parts: Sequence[_Part], planned: Sequence[int]) -> bool:
    """Tell whether a lot that the plan finishes is not finished in some replication."""
    return any(min(part.column(lot)) < 0 for part in parts for lot in planned)


def _summed(ready: Ready, parts: Sequence[_Part], planned: Sequence[int], replications: int) -> Simulation:
    """Return what the replications say."""
    packing = ready.case.packing
    now = packing.shop.now
    lots = []
    for place in planned:
        lot = packing.lots[place]
        finishes = sorted(now + each for part in parts for each in part.column(place) if each >= 0)
        late = None if lot.due is None else replications - bisect_right(finishes, lot.due)
        lots.append(LotChances(lot.key, tuple(finishes), replications, late))
    return Simulation(tuple(lots), tuple(each for part in parts for each in part.tardiness))
