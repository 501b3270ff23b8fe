"""Invented parts and routings."""

from datetime import UTC, datetime

import factory

from app.parts.models import (
    Component,
    KindRole,
    OperationKind,
    Part,
    Revision,
    Routing,
    RoutingOperation,
    StoredFile,
    StoredPage,
)
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


class ComponentFactory(ModelFactory):
    class Meta:
        model = Component

    part = factory.SubFactory(PartFactory)
    operation_number = 10
    per_piece = 1


class StoredFileFactory(ModelFactory):
    class Meta:
        model = StoredFile

    sha256 = factory.Sequence(lambda n: f"{n:064x}")
    name = "setup.png"
    media_type = "image/png"
    data = b"an upload"
    stored_at = datetime(2026, 1, 1, tzinfo=UTC)
    pages = factory.LazyFunction(lambda: [StoredPage(number=1, width=4, height=3, png=b"a page")])
