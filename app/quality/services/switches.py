"""What of quality a shop switches on."""

from collections.abc import Collection
from dataclasses import dataclass

from sqlalchemy import orm

from app.core.quality.run_rules import Rule
from app.parts.models import QualitySwitches
from app.parts.queries import quality_switches
from app.shared.database import transaction


@dataclass(frozen=True, slots=True)
class Switched:
    """What is on."""

    studies: bool
    sampling: bool
    moving_averages: bool
    rules: Collection[Rule]


def change_switches(session: orm.Session, on: Switched) -> QualitySwitches:
    """Switch on what the shop wants to see, and the rest off."""
    with transaction(session):
        row = quality_switches(session)
        row.studies, row.sampling, row.moving_averages = on.studies, on.sampling, on.moving_averages
        row.rules = [each.value for each in Rule if each in on.rules]
    return row
