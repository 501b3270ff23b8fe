"""Replications: draw, plan by dispatch with the same ranks, note when each lot is finished."""

from app.core.chances.kernels.drawing import draw_outside, draw_work
from app.core.chances.kernels.generator import drawn, stream_of
from app.core.chances.kernels.mishaps import draw_mishaps
from app.core.planning.arrays import (
    F_LOTS_COUNT,
    L_DUE,
    L_WEIGHT,
    N_TROUBLE,
    Z_FINISH,
    Z_LEFT,
    Column,
    Packed,
    State,
)
from app.core.planning.kernels.dispatch import play
from app.core.planning.kernels.rows import journey_at, lot_at


def draw_all(base: Packed, p: Packed, d: Column, seed: int, replication: int) -> None:
    """Draw a replication's shop."""
    stream = stream_of(drawn(seed, 0), replication)
    draw_work(base, p, d, stream)
    draw_outside(base, p, d, stream)
    draw_mishaps(base, p, d, stream)


def replay(base: Packed, p: Packed, s: State, d: Column, asked: Column, out: Column) -> None:
    """Write a row for each replication: its weighted tardiness, then when each lot is finished, or -1.

    ``asked`` has the seed, the first replication and how many; in its last place it gets the trouble there was.
    """
    lots = p[F_LOTS_COUNT]
    for number in range(asked[2]):
        draw_all(base, p, d, asked[0], asked[1] + number)
        play(p, s)
        asked[3] |= s[N_TROUBLE]
        row = number * (lots + 1)
        tardiness = 0
        for lot in range(lots):
            z, given = journey_at(p, lot), lot_at(p, lot)
            finish = s[z + Z_FINISH] if s[z + Z_LEFT] == 0 else -1
            out[row + 1 + lot] = finish
            if finish > p[given + L_DUE]:
                tardiness += p[given + L_WEIGHT] * (finish - p[given + L_DUE])
        out[row] = tardiness
