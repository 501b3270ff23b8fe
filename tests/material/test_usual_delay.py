"""How late a vendor usually is, from what came in past its expected date."""

from datetime import date, timedelta

import pytest

from app.material import queries
from tests.factories.material import MaterialOrderFactory, MaterialOrderLineFactory, ReceiptFactory, VendorFactory
from tests.factories.stations import ClosureFactory, ShopFactory
from tests.statements import counted

EXPECTED = date(2026, 1, 14)


def late(vendor, *days):
    """Record receipts that came so many days after they were expected; negative days came early."""
    for number in days:
        line = MaterialOrderLineFactory(order=MaterialOrderFactory(vendor=vendor), expected_on=EXPECTED)
        ReceiptFactory(line=line, expected_on=EXPECTED, received_on=EXPECTED + timedelta(days=number))


@pytest.mark.parametrize(
    ("days", "usual"),
    [
        ((), 5),
        ((9, 9), 5),
        ((1, 2, 30), 2),
        ((1, 2, 3, 4), 3),
        ((2, 2, 4, 4), 3),
        ((1, 2, 3, 0, -4, 0), 2),
        ((0, -1, 0, -2), 5),
    ],
)
def test_it_is_the_median_of_the_late_ones_rounded_up_and_five_days_while_there_are_few(session, days, usual):
    vendor = VendorFactory()
    late(vendor, *days)
    assert queries.usual_delay_days(session, vendor.id) == usual


def test_only_the_last_twenty_late_receipts_count(session):
    vendor = VendorFactory()
    line = MaterialOrderLineFactory(order=MaterialOrderFactory(vendor=vendor))
    for age in range(25):
        expected = EXPECTED - timedelta(days=30 * age)
        ReceiptFactory(line=line, expected_on=expected, received_on=expected + timedelta(days=2 if age < 20 else 29))
    delay = queries.usual_delays(session, [vendor.id])[vendor.id]
    assert (delay.days, delay.receipts, delay.known) == (2, 20, True)


def test_a_vendor_is_judged_by_its_own_receipts_and_by_the_day_expected_when_they_came(session):
    vendor, other = VendorFactory(), VendorFactory()
    late(vendor, 1, 1, 1)
    late(other, 9, 9, 9)
    line = MaterialOrderLineFactory(order=MaterialOrderFactory(vendor=vendor), expected_on=EXPECTED)
    ReceiptFactory(line=line, expected_on=EXPECTED + timedelta(days=8), received_on=EXPECTED + timedelta(days=8))
    ReceiptFactory(received_on=EXPECTED)
    assert queries.usual_delay_days(session, vendor.id) == 1
    assert queries.usual_delay_days(session, other.id) == 9


def test_the_delays_of_many_vendors_take_one_statement(session, engine):
    vendors = [VendorFactory() for _ in range(4)]
    for vendor in vendors:
        late(vendor, 1, 2, 3)
    asked = [vendor.id for vendor in vendors]
    with counted(engine) as sent:
        assert {delay.days for delay in queries.usual_delays(session, asked).values()} == {2}
    assert len(sent) == 1


@pytest.mark.parametrize(
    ("day", "working_day"),
    [
        (date(2026, 1, 14), date(2026, 1, 14)),
        (date(2026, 1, 17), date(2026, 1, 20)),
        (date(2026, 1, 18), date(2026, 1, 20)),
        (date(2026, 1, 23), date(2026, 1, 23)),
        (date(2026, 1, 24), date(2026, 1, 26)),
    ],
)
def test_goods_come_on_weekdays_on_which_the_shop_is_not_closed(session, day, working_day):
    ShopFactory()
    ClosureFactory(day=date(2026, 1, 19), name="Holiday")
    assert queries.working_day_from(session, day) == working_day
