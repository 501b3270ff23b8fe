"""Invented vendors, purchases and receipts."""

from collections.abc import Iterator
from datetime import UTC, date, datetime

import factory

from app.core.scan_code import CodeKind, next_number
from app.material.models import MaterialOrder, MaterialOrderLine, Receipt, Vendor
from tests.factories.base import ModelFactory
from tests.factories.parts import RevisionFactory


def _numbers() -> Iterator[int]:
    number = 0
    while True:
        number = next_number(CodeKind.RECEIPT, number)
        yield number


_receipt_numbers = _numbers()


class VendorFactory(ModelFactory):
    class Meta:
        model = Vendor

    name = factory.Sequence(lambda n: f"Copperfield Metals {n}")


class MaterialOrderFactory(ModelFactory):
    class Meta:
        model = MaterialOrder

    vendor = factory.SubFactory(VendorFactory)
    ordered_on = date(2026, 1, 5)


class MaterialOrderLineFactory(ModelFactory):
    class Meta:
        model = MaterialOrderLine

    order = factory.SubFactory(MaterialOrderFactory)
    revision = factory.SubFactory(RevisionFactory)
    units = 60
    expected_on = date(2026, 1, 14)


class ReceiptFactory(ModelFactory):
    class Meta:
        model = Receipt

    number = factory.LazyFunction(lambda: next(_receipt_numbers))
    revision = factory.SubFactory(RevisionFactory)
    heat = factory.Sequence(lambda n: f"H{70000 + n}")
    pieces = 60
    received_on = date(2026, 1, 6)
    recorded_at = datetime(2026, 1, 6, 16, tzinfo=UTC)
