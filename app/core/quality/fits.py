"""Limits of a hole or shaft from its nominal size and tolerance class (ISO 286-1), for the classes pins are pressed by.

The rows are those of JIS B 0401:1999, whose tables are ISO 286-2's; s6 too. Other classes and sizes are not guessed:
their limits are typed.
"""

from decimal import Decimal

from app.core.quality.errors import BadInputError, Fault
from app.core.quality.tolerances import Limits

# Upper and lower deviation in micrometres, for sizes over 3 to 6, 6 to 10, 10 to 18, 18 to 30, 30 to 50 mm.
_STEPS_MM = (Decimal(3), Decimal(6), Decimal(10), Decimal(18), Decimal(30), Decimal(50))
_DEVIATIONS_UM = {
    "H7": ((12, 0), (15, 0), (18, 0), (21, 0), (25, 0)),
    "k6": ((9, 1), (10, 1), (12, 1), (15, 2), (18, 2)),
    "m6": ((12, 4), (15, 6), (18, 7), (21, 8), (25, 9)),
    "n6": ((16, 8), (19, 10), (23, 12), (28, 15), (33, 17)),
    "p6": ((20, 12), (24, 15), (29, 18), (35, 22), (42, 26)),
    "r6": ((23, 15), (28, 19), (34, 23), (41, 28), (50, 34)),
    "s6": ((27, 19), (32, 23), (39, 28), (48, 35), (59, 43)),
}

CLASSES = tuple(_DEVIATIONS_UM)
"""The tolerance classes there are rows for: a hole (H7) and shafts."""


def limits_of_fit(nominal_mm: Decimal, tolerance_class: str) -> Limits:
    """Return the limits in millimetres of a size over 3 up to and including 50 mm.

    Small letters are shafts and capital ones holes. They come without the nominal, which lies outside the limits of
    every shaft here.

    Source: ISO 286-1/-2, tables as printed in JIS B 0401:1999.

    Raises:
        BadInputError: NO_SUCH_CLASS, NO_SUCH_SIZE.
    """
    rows = _DEVIATIONS_UM.get(tolerance_class)
    if rows is None:
        raise BadInputError(Fault.NO_SUCH_CLASS, name=tolerance_class, known=CLASSES)
    for up_to, (upper_um, lower_um) in zip(_STEPS_MM[1:], rows, strict=True):
        if _STEPS_MM[0] < nominal_mm <= up_to:
            return Limits(_beside(nominal_mm, lower_um), _beside(nominal_mm, upper_um))
    raise BadInputError(Fault.NO_SUCH_SIZE, size_mm=nominal_mm, above_mm=_STEPS_MM[0], up_to_mm=_STEPS_MM[-1])


def _beside(nominal_mm: Decimal, deviation_um: int) -> Decimal:
    return nominal_mm + Decimal(deviation_um).scaleb(-3)
