"""How limits and frequencies of a control plan are written on pages."""

from decimal import Decimal

from app.parts.models import CharacteristicPlan, FrequencyKind
from app.shared.typed import plain
from app.shared.words import gettext


def limits_words(plan: CharacteristicPlan) -> str:
    """Return the limits with their unit: ``0.4995 to 0.5005 in``; for yes or no, that it must be met."""
    if not plan.is_measured:
        return gettext("yes")
    limits, unit = plan.limits, plan.unit
    if limits.lower is None:
        return gettext("at most %(upper)s %(unit)s", upper=limits.upper, unit=unit).strip()
    if limits.upper is None:
        return gettext("at least %(lower)s %(unit)s", lower=limits.lower, unit=unit).strip()
    return gettext("%(lower)s to %(upper)s %(unit)s", lower=limits.lower, upper=limits.upper, unit=unit).strip()


def nominal_words(plan: CharacteristicPlan) -> str:
    """Return the nominal as the drawing writes it, or the size and class; empty where there is none."""
    if plan.tolerance_class:
        return plan.tolerance_class
    nominal = plan.limits.nominal if plan.is_measured else None
    return "" if nominal is None else str(nominal)


def checking_words(plan: CharacteristicPlan) -> str:
    """Return how often pieces are checked."""
    return _frequency_words(plan.checking_kind, plan.checking_number, plan.confidence)


def recording_words(plan: CharacteristicPlan) -> str:
    """Return how often a reading is recorded."""
    return _frequency_words(plan.recording_kind, plan.recording_number, plan.confidence)


def _frequency_words(kind: FrequencyKind, number: Decimal | None, confidence: Decimal | None) -> str:
    given = plain(number) if number is not None else ""
    match kind:
        case FrequencyKind.EVERY_PIECE:
            return gettext("every piece")
        case FrequencyKind.FIRST_AND_LAST:
            return gettext("first and last piece")
        case FrequencyKind.EVERY_NTH:
            return gettext("the first piece and each %(step)s pieces after it", step=given)
        case FrequencyKind.TIMES_A_SHIFT:
            return gettext("%(times)s times a shift", times=given)
        case FrequencyKind.BY_LOT_SIZE:
            return gettext("a sample by lot size, AQL %(limit)s", limit=given)
        case FrequencyKind.ZERO_ACCEPTANCE:
            sure = plain(confidence) if confidence is not None else "95"
            return gettext("a sample that finds %(share)s %% bad with %(sure)s %% confidence", share=given, sure=sure)
