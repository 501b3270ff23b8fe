"""Invented characteristics, gauges and readings."""

from datetime import UTC, date, datetime
from decimal import Decimal

import factory

from app.core.quality.tolerances import Standing
from app.parts.models import Characteristic, CharacteristicKind, Concerns, FrequencyKind, GaugeKind
from app.quality.models import Condition, Gauge, Reading, WhenOverdue
from tests.factories.base import ModelFactory
from tests.factories.parts import RevisionFactory


class GaugeKindFactory(ModelFactory):
    class Meta:
        model = GaugeKind

    name = factory.Sequence(lambda n: f"bore gauge {n}")


class CharacteristicFactory(ModelFactory):
    """A bore of 0.5000 -+ 0.0005 in at operation 10, every piece checked and recorded."""

    class Meta:
        model = Characteristic

    revision = factory.SubFactory(RevisionFactory)
    revision_id = factory.LazyAttribute(lambda made: made.revision.id)
    operation_number = 10
    number = factory.Sequence(lambda n: 1 + n % 9999)
    name = "Bore"
    kind = CharacteristicKind.MEASURED
    concerns = Concerns.PRODUCT
    nominal = Decimal("0.5000")
    lower = Decimal("0.4995")
    upper = Decimal("0.5005")
    places = 4
    unit = "in"
    checking_kind = FrequencyKind.EVERY_PIECE
    recording_kind = FrequencyKind.EVERY_PIECE
    reaction_plan = "Stop. Call the setup lead."
    retired = False

    @classmethod
    def _create(cls, model_class, *args, revision=None, **values):
        return super()._create(model_class, *args, **values)


class GaugeFactory(ModelFactory):
    class Meta:
        model = Gauge

    name = factory.Sequence(lambda n: f"G-{n}")
    kind = factory.SubFactory(GaugeKindFactory)
    unit = "in"
    range_low = Decimal(0)
    range_high = Decimal(1)
    resolution = Decimal("0.0001")
    interval_months = 12
    when_overdue = WhenOverdue.BLOCK
    active = True
    calibrated_on = date(2025, 6, 1)
    condition = Condition.GOOD
    due_on = date(2026, 6, 1)


class ReadingFactory(ModelFactory):
    class Meta:
        model = Reading

    piece = 1
    value = Decimal("0.5001")
    typed = "0.5001"
    standing = Standing.GOOD
    happened_at = datetime(2026, 1, 7, 15, 0, tzinfo=UTC)
    recorded_at = datetime(2026, 1, 7, 15, 0, tzinfo=UTC)
    client_key = factory.Sequence(lambda n: f"reading-{n}")
    content_hash = ""
