"""Invented parts and routings."""

from datetime import UTC, datetime

import factory

from app.parts.models import KindRole, OperationKind, Part, Revision, Routing, RoutingOperation
from tests.factories.base import ModelFactory
from tests.factories.stations import WorkCenterFactory


class OperationKindFactory(ModelFactory):
    class Meta:
        model = OperationKind

    name = factory.Sequence(lambda n: f"milling {n}")
    role = KindRole.STATION
    caution = "Guards closed. Safety glasses on."


class PartFactory(ModelFactory):
    class Meta:
        model = Part

    number = factory.Sequence(lambda n: f"HB-{100 + n}")
    name = "Hinge block"


class RevisionFactory(ModelFactory):
    class Meta:
        model = Revision

    part = factory.SubFactory(PartFactory)
    label = "A"
    material = "6061-T6"
    blank = "Sawn bar 50 x 50 x 80"


class RoutingFactory(ModelFactory):
    class Meta:
        model = Routing

    revision = factory.SubFactory(RevisionFactory)
    version = 1
    created_at = datetime(2026, 1, 1, tzinfo=UTC)


class RoutingOperationFactory(ModelFactory):
    class Meta:
        model = RoutingOperation

    routing = factory.SubFactory(RoutingFactory)
    number = 10
    title = "Mill"
    kind = factory.SubFactory(OperationKindFactory)
    work_center = factory.SubFactory(WorkCenterFactory)
    setup_seconds = 1800
    cycle_ms = 120_000
