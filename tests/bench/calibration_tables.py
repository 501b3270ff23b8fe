"""The tables of the calibration as RESULTS.md and README.md show them, made of the file that the pages read."""

import json
import re
from collections.abc import Iterable, Sequence
from dataclasses import asdict
from pathlib import Path

from app.core.chances.scores import Bin, Interval
from app.schedule.queries import Calibration, Judged
from app.schedule.queries.calibration import KEPT

ROOT = Path(__file__).parents[2]
PAPERS = (ROOT / "tests" / "bench" / "RESULTS.md", ROOT / "README.md")
BEGIN, END = "<!-- calibration: written by the bench -->", "<!-- end of calibration -->"
PLACES = 6


def table(heads: str, rows: Iterable[Sequence[object]]) -> str:
    """Return a table; heads are parted by ``|``."""
    names = [each.strip() for each in heads.split("|")]
    lines = [names, ["---"] * len(names), *([str(each) for each in row] for row in rows)]
    return "\n".join(f"| {' | '.join(line)} |" for line in lines)


def percent(share: float) -> str:
    return f"{100 * share:.0f} %"


def between(interval: Interval) -> str:
    return f"{100 * interval.low:.0f} to {100 * interval.high:.0f} %"


def tenth(one: Bin) -> str:
    return f"{100 * one.low:.0f} to {100 * one.low + 10:.0f} %"


def scores(judged: Judged) -> str:
    by = {"simulation": judged.chances, "plain forecast": judged.plain, "late so far": judged.so_far}
    rows = [
        (name, each.count, *(f"{one:.4f}" for one in (each.brier, each.reliability, each.resolution)),
         f"{each.uncertainty:.4f}", f"{each.skill:.2f}")
        for name, each in by.items()
    ]  # fmt: skip
    return table("by | lots | Brier | reliability | resolution | uncertainty | skill", rows)


def bins(judged: Judged) -> str:
    marks = dict.fromkeys((one.low for one in judged.too_dark), "fewer than said")
    marks |= dict.fromkeys((one.low for one in judged.too_bright), "more than said")
    rows = (
        (tenth(one), one.count, f"{100 * one.mean:.1f} %", f"{100 * one.share:.1f} %", between(one.interval),
         marks.get(one.low, "")) for one in judged.chances.bins
    )  # fmt: skip
    return table("said to be late | lots | said on average | were late | 95 % interval | off", rows)


def dates(judged: Judged) -> str:
    rows = ((percent(one.wanted), one.count, f"{100 * one.share:.1f} %", between(one.interval)) for one in judged.dates)
    return table("date given as sure to | lots | kept | 95 % interval", rows)


def tables(found: Calibration) -> str:
    """Return all tables, as RESULTS.md has them."""
    parts = (
        f"**Predictions {each.when}**, {percent(each.chances.base_rate)} of the lots late\n\n"
        f"{scores(each)}\n\n{bins(each)}\n\n{dates(each)}"
        for each in found.judged
    )
    return "\n\n".join(parts)


def short(found: Calibration) -> str:
    """Return what the README says: the chances given at release."""
    first = found.judged[0]
    low, high = first.unlikely, first.likely
    return (
        f"{bins(first)}\n\n{dates(first)}\n\n"
        f"Of {low.count} lots said to be rather on time than late, {percent(low.share)} were late "
        f"({percent(low.mean)} was said); of {high.count} said to be rather late, {percent(high.share)} "
        f"({percent(high.mean)} was said)."
    )


def written(paper: str) -> str:
    """Return what stands between the marks of a paper."""
    return paper.partition(BEGIN)[2].partition(END)[0].strip()


def keep(found: Calibration) -> None:
    """Write the file that pages read, and the tables of the papers."""
    rounded = json.loads(json.dumps(asdict(found)), parse_float=lambda digits: round(float(digits), PLACES))
    KEPT.write_text(json.dumps(rounded, indent=1) + "\n", encoding="utf-8")
    for paper, tables_of in zip(PAPERS, (tables, short), strict=True):
        old = paper.read_text(encoding="utf-8")
        new = re.sub(f"{BEGIN}.*?{END}", lambda _, of=tables_of: f"{BEGIN}\n\n{of(found)}\n\n{END}", old, flags=re.S)
        paper.write_text(new, encoding="utf-8")
