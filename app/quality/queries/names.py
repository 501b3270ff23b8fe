"""How readings and nonconformances are called on pages and in messages."""

from decimal import Decimal
from fractions import Fraction

from app.core.measures import rounded
from app.core.quality.readings import Slip, Suspicion
from app.core.quality.tolerances import Standing, bar_position
from app.lots.models import LotCharacteristic
from app.parts.queries import limits_words
from app.quality.models import Nonconformance, Reading
from app.shared.words import gettext


def nonconformance_name(found: Nonconformance) -> str:
    """Return its name: ``N12``."""
    return f"N{found.number}"


def characteristic_name(characteristic: LotCharacteristic) -> str:
    """Return ``3 Bore``."""
    return f"{characteristic.number} {characteristic.name}"


def reading_words(reading: Reading) -> str:
    """Return a reading with its unit, as it was typed: ``0.5003 in``; or yes or no."""
    if reading.value is None:
        return gettext("yes") if reading.met else gettext("no")
    return f"{reading.typed} {reading.characteristic.unit}".strip()


def standing_words(reading: Reading) -> str:
    """Return how a reading stands to its limits, with the exact number by which it is out."""
    characteristic = reading.characteristic
    if reading.value is None:
        return gettext("good") if reading.met else gettext("not met")
    limits = characteristic.limits
    limit = limits.exceeded(reading.value)
    if limit is None:
        return gettext("good")
    beyond = f"{abs(reading.value - limit).normalize():f} {characteristic.unit}".strip()
    if reading.standing is Standing.BELOW:
        return gettext("%(beyond)s below the lower limit", beyond=beyond)
    return gettext("%(beyond)s above the upper limit", beyond=beyond)


def bar_percent(reading: Reading) -> Decimal | None:
    """Return where a reading lies on a bar whose limits stand at 20 and 80 percent; None where there is no bar."""
    if reading.value is None:
        return None
    share = bar_position(reading.characteristic.limits, reading.value)
    return None if share is None else rounded(min(max(20 + 60 * share, Fraction(2)), Fraction(98)), 1)


def hold_words(found: Nonconformance) -> str:
    """Return the reason for which a nonconformance puts its lot on hold."""
    return gettext(
        "%(name)s: %(what)s out of tolerance",
        name=nonconformance_name(found),
        what=characteristic_name(found.reading.characteristic),
    )


def question_words(typed: str, characteristic: LotCharacteristic, meant: tuple[Suspicion, ...]) -> str:
    """Return the question that is asked about a value that lies far out."""
    asked = gettext("%(typed)s lies far outside %(limits)s.", typed=typed, limits=limits_words(characteristic))
    return " ".join([asked, *(_meant_words(each, characteristic) for each in meant[:2])])


def _meant_words(suspicion: Suspicion, characteristic: LotCharacteristic) -> str:
    value = f"{suspicion.meant.normalize():f} {characteristic.unit}".strip()
    if suspicion.slip is Slip.OTHER_UNIT:
        return gettext("In the other unit it would be %(value)s.", value=value)
    return gettext("With the point elsewhere it would be %(value)s.", value=value)
