"""How often a characteristic is checked and how often it is written down: two frequencies, often different.

'Every piece checked, recorded three times a shift' owes three readings a shift and, at the end, one 'all checked'. Each
reading that is owed has a window: the pieces, or the stretch of a shift, in which it must be taken. A reading in its
window pays it; two in the same window pay one.
"""

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import chain, pairwise, takewhile
from typing import TypeAlias

from app.core.quality.acceptance import DEFAULT_CONFIDENCE, LARGEST_LOT, zero_acceptance_size
from app.core.quality.errors import BadInputError, Fault, Figure, at_least, at_most, inside
from app.core.quality.sampling_plans import check_quality_limit, sample_size

LARGEST_TIMES = 100
SHORTEST_SHIFT_S = 3600


@dataclass(frozen=True, slots=True)
class EveryPiece:
    """Each piece."""


@dataclass(frozen=True, slots=True)
class FirstAndLast:
    """The first and the last piece."""


@dataclass(frozen=True, slots=True)
class EveryNth:
    """The first piece and each ``step``-th after it, so that a small lot is measured too. Raises: TOO_SMALL."""

    step: int

    def __post_init__(self) -> None:
        at_most(Figure.STEP, at_least(Figure.STEP, self.step, 1), LARGEST_LOT)


@dataclass(frozen=True, slots=True)
class TimesAShift:
    """So many times in a whole shift, evenly spread; for part of a shift its share. Raises: TOO_SMALL, TOO_LARGE."""

    times: int

    def __post_init__(self) -> None:
        at_most(Figure.TIMES, at_least(Figure.TIMES, self.times, 1), LARGEST_TIMES)


@dataclass(frozen=True, slots=True)
class PlanByLotSize:
    """As many pieces as the single normal plan of ISO 2859-1 takes for the lot, spread evenly over it.

    Raises: NO_SUCH_QUALITY_LIMIT.
    """

    quality_limit: Decimal
    """Acceptance quality limit in percent nonconforming."""

    def __post_init__(self) -> None:
        check_quality_limit(self.quality_limit)


@dataclass(frozen=True, slots=True)
class ZeroAcceptance:
    """As many pieces as find ``share`` bad ones or more with ``confidence``, if there are that many.

    Raises: NOT_BETWEEN.
    """

    share: Decimal
    confidence: Decimal = DEFAULT_CONFIDENCE

    def __post_init__(self) -> None:
        inside(Figure.SHARE, self.share, 0, 1)
        inside(Figure.CONFIDENCE, self.confidence, 0, 1)


Frequency: TypeAlias = EveryPiece | FirstAndLast | EveryNth | TimesAShift | PlanByLotSize | ZeroAcceptance


@dataclass(frozen=True, slots=True)
class Stint:
    """A stretch of one shift in which the lot ran, in seconds from the start of the shift; ``end_s`` may be 'so far'.

    Raises ``BadInputError``: TOO_SMALL, OUT_OF_ORDER.
    """

    shift_s: int
    start_s: int
    end_s: int
    readings_s: tuple[int, ...] = ()
    """When readings were taken in it."""

    def __post_init__(self) -> None:
        at_least(Figure.SHIFT, self.shift_s, SHORTEST_SHIFT_S)
        if self.end_s < self.start_s:
            raise BadInputError(Fault.OUT_OF_ORDER, earlier=self.start_s, later=self.end_s)


@dataclass(frozen=True, slots=True)
class Progress:
    """How far a lot is at an operation, and which readings of one characteristic there are.

    Raises ``BadInputError``: TOO_SMALL, TOO_LARGE, NO_SUCH_PIECE for a reading of a piece beyond ``pieces``.
    """

    pieces: int
    """Pieces to be made here."""
    made: int
    """Pieces made so far, counted or estimated."""
    finished: bool = False
    """No more will be made, though it may be fewer than ``pieces``."""
    read: tuple[int, ...] = ()
    """Numbers, from 1, of the pieces that have a reading."""
    stints: tuple[Stint, ...] = ()
    """The shifts it ran in, for a frequency by the shift."""

    def __post_init__(self) -> None:
        at_most(Figure.PIECES, at_least(Figure.PIECES, self.pieces, 1), LARGEST_LOT)
        at_most(Figure.MADE, at_least(Figure.MADE, self.made, 0), self.pieces)
        for piece in self.read:
            if not 1 <= piece <= self.pieces:
                raise BadInputError(Fault.NO_SUCH_PIECE, piece=piece, pieces=self.pieces)

    @property
    def last_piece(self) -> int:
        """The number of the last piece there will be."""
        return self.made if self.finished else self.pieces


@dataclass(frozen=True, slots=True)
class Window:
    """The pieces ``first`` to ``last`` among which one reading must be taken."""

    first: int
    last: int


@dataclass(frozen=True, slots=True)
class TimeWindow:
    """The seconds ``[start_s, end_s)`` of the shift of ``stint`` (an index) in which one reading must be taken."""

    stint: int
    start_s: int
    end_s: int


@dataclass(frozen=True, slots=True)
class Owed:
    """What is missing: a reading for each window, and whether somebody must still say that all were checked."""

    pieces: tuple[Window, ...] = ()
    times: tuple[TimeWindow, ...] = ()
    all_checked: bool = False

    @property
    def readings(self) -> int:
        """How many readings are missing."""
        return len(self.pieces) + len(self.times)

    @property
    def nothing(self) -> bool:
        """Whether nothing is missing."""
        return not self.readings and not self.all_checked


def due_now(recording: Frequency, progress: Progress) -> Owed:
    """Return the readings that are due by the pieces made so far and are not there.

    A piece is due as soon as it is made; the last piece only when it is. A sample is a number of pieces: there any
    piece of the lot pays.
    """
    if not progress.made:
        return Owed()
    if isinstance(recording, TimesAShift):
        return Owed(times=_owed_times(recording, progress.stints))
    return Owed(pieces=_owed_pieces(recording, progress))


def owed_at_sign_off(
    checking: Frequency, recording: Frequency, progress: Progress, *, confirmed_checked: bool = False
) -> Owed:
    """Return what is missing to sign off the pieces made: readings, and one 'all checked' if the two differ."""
    owed = due_now(recording, progress)
    needs_word = checking != recording and progress.made > 0 and not confirmed_checked
    return Owed(owed.pieces, owed.times, needs_word)


def pieces_to_read(recording: Frequency, lot: int) -> Sequence[int]:
    """Return the numbers of the pieces of a lot, one or more, that get a reading; none for a frequency by the shift."""
    match recording:
        case EveryPiece():
            return range(1, lot + 1)
        case FirstAndLast():
            return (1, lot) if lot > 1 else range(1, lot + 1)
        case EveryNth(step):
            return range(1, lot + 1, step)
        case TimesAShift():
            return ()
        case PlanByLotSize(quality_limit):
            return _spread(sample_size(lot, quality_limit), lot)
        case ZeroAcceptance(share, confidence):
            return _spread(zero_acceptance_size(lot, share, confidence), lot)


def suspect_pieces(good: Sequence[int], out: int, made: int) -> Window:
    """Return the pieces that may be as bad as piece ``out``: those since the last good reading before it, to the last.

    Args:
        good: numbers of the pieces whose readings were good.
        out: number of the piece that was out.
        made: pieces made by now; they are suspect too, as nothing after ``out`` was found good.
    """
    return Window(max((piece for piece in good if piece < out), default=0) + 1, max(out, made))


def _spread(size: int, lot: int) -> tuple[int, ...]:
    return tuple(index * lot // size + 1 for index in range(size))


def _owed_pieces(recording: Frequency, progress: Progress) -> tuple[Window, ...]:
    last, read = progress.last_piece, sorted(set(progress.read))
    begins = pairwise(chain(pieces_to_read(recording, last), (last + 1,)))
    due = [Window(first, behind - 1) for first, behind in takewhile(lambda pair: pair[0] <= progress.made, begins)]
    unpaid = tuple(window for window in due if not _has_one(read, window.first, window.last + 1))
    if isinstance(recording, PlanByLotSize | ZeroAcceptance):
        return unpaid[len(unpaid) - max(len(due) - len(read), 0) :]
    return unpaid


def _owed_times(recording: TimesAShift, stints: Sequence[Stint]) -> tuple[TimeWindow, ...]:
    return tuple(
        window
        for index, stint in enumerate(stints)
        for window in _time_windows(index, stint, recording.times)
        if not _has_one(sorted(stint.readings_s), window.start_s, window.end_s)
    )


def _time_windows(index: int, stint: Stint, times: int) -> list[TimeWindow]:
    edges = [stint.start_s + part * stint.shift_s // times for part in range(times + 1)]
    begun = [start for start in edges[:-1] if start == stint.start_s or start < stint.end_s]
    return [TimeWindow(index, start, end) for start, end in zip(begun, edges[1:], strict=False)]


def _has_one(in_order: Sequence[int], first: int, behind: int) -> bool:
    position = bisect_left(in_order, first)
    return position < len(in_order) and in_order[position] < behind
