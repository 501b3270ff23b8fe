"""How far the chances can be believed: what was measured in invented shops, kept in ``app/schedule/calibration.json``.

``tests/bench/bench_calibration.py --keep`` writes the file; nothing else says these figures, so that pages and papers
cannot differ.
"""

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Final

from app.core.chances.scores import Bin, Coverage, Score

KEPT: Final = Path(__file__).parents[1] / "calibration.json"
EVEN: Final = 0.5
"""The chance above which a lot is rather late than not."""


@dataclass(frozen=True, slots=True)
class Judged:
    """How good the predictions made at one moment of each lot's life were.

    Attributes:
        when: ``at release`` or ``at half the lead time``.
        chances: of the simulation.
        plain: of the plain forecast, which says late or not.
        so_far: of the share of lots that were late so far.
        dates: of the dates given for a share of the lots.
    """

    when: str
    chances: Score
    plain: Score
    so_far: Score
    dates: tuple[Coverage, ...]

    @property
    def unlikely(self) -> Bin:
        """The lots that were said to be rather on time than late."""
        return _together(each for each in self.chances.bins if each.low < EVEN)

    @property
    def likely(self) -> Bin:
        """The lots that were said to be as likely late as not, or more."""
        return _together(each for each in self.chances.bins if each.low >= EVEN)

    @property
    def too_dark(self) -> list[Bin]:
        """The bins of which fewer lots were late than said, by more than chance explains."""
        return [each for each in self.chances.bins if each.mean > each.interval.high]

    @property
    def too_bright(self) -> list[Bin]:
        """The bins of which more lots were late than said, by more than chance explains."""
        return [each for each in self.chances.bins if each.mean < each.interval.low]


@dataclass(frozen=True, slots=True)
class Calibration:
    """What the bench found in so many invented shops, from so many replications a prediction."""

    worlds: int
    first_seed: int
    replications: int
    judged: tuple[Judged, ...]


def _together(bins: Iterable[Bin]) -> Bin:
    """Return bins as one."""
    found = list(bins)
    count = sum(each.count for each in found)
    said = sum(each.count * each.mean for each in found)
    return Bin(
        min((each.low for each in found), default=0.0), count, sum(each.came for each in found), said / max(1, count)
    )


@cache
def calibration() -> Calibration:
    """Return what was last measured; no statement."""
    kept = json.loads(KEPT.read_text(encoding="utf-8"))
    return Calibration(**{**kept, "judged": tuple(_judged(each) for each in kept["judged"])})


def _judged(kept: Mapping[str, Any]) -> Judged:
    return Judged(
        when=kept["when"],
        **{name: _score(kept[name]) for name in ("chances", "plain", "so_far")},
        dates=tuple(Coverage(**each) for each in kept["dates"]),
    )


def _score(kept: Mapping[str, Any]) -> Score:
    return Score(**{**kept, "bins": tuple(Bin(**each) for each in kept["bins"])})
