"""Lots, release and the morning review in a real browser: nobody is shut out, and a release ends at the printer."""

from datetime import date

import pytest
import sqlalchemy as sa

from app.lots.models import Lot, TravelerPrint
from app.lots.services import hold_pieces
from app.people.models import Role
from tests.factories.lots import act, make_ordered_lot, make_routing
from tests.factories.orders import DeliveryFactory, OrderLineFactory
from tests.factories.schedule import plan_now
from tests.factories.stations import ShopFactory


@pytest.fixture
def lot(session, now):
    ShopFactory()
    lot = make_ordered_lot(session, due=date(2026, 1, 8))
    hold_pieces(session, act(), lot.operations[0].id, 5, "look again")
    plan_now(session, now)
    return lot


def test_release_and_print_opens_the_print_dialog_of_the_traveler(session, live_server, page, sign_in):
    ShopFactory()
    delivery = DeliveryFactory(line=OrderLineFactory(revision=make_routing(blanks=True).revision))
    sign_in(Role.OWNER)
    page.add_init_script("window.print = () => { window.printed = true; }")
    page.goto(f"{live_server}/lots/new?delivery={delivery.id}")
    page.get_by_role("button", name="Release and print the traveler").click()
    page.wait_for_url("**/traveler?now=1")
    page.wait_for_load_state("load")
    assert page.evaluate("window.printed") is True
    session.rollback()
    lot = session.scalars(sa.select(Lot)).one()
    assert page.url.endswith(f"/lots/{lot.id}/traveler?now=1")
    assert session.scalars(sa.select(sa.func.count(TravelerPrint.id))).one() == 1


LENGTHEN_LISTS = """() => {
  const matter = `<li class="matter"><p class="matter__what">L001234 AB-1234 Part with a name</p>
    <p class="matter__much">12 d 15 h late</p><p class="matter__when">due Tue 24 Nov, expected Mon 30 Nov 07:06</p>
    <ul class="matter__why"><li>The work alone takes until Fri 27 Nov 06:42: longer than the time left</li></ul></li>`;
  const line = "<li>Some vendor of castings: sand casting, snagged for AB-1234 C, 85 pieces, expected Wed 18 Nov</li>";
  for (const section of document.querySelectorAll("main section:not(:has(.day-plan))")) {
    for (const old of section.querySelectorAll("p, ul, ol")) old.remove();
    section.insertAdjacentHTML("beforeend", section.id === "late"
      ? `<ol class="matters">${matter.repeat(20)}</ol>` : `<ul class="lines">${line.repeat(20)}</ul>`);
  }
}"""


def test_the_review_prints_on_one_sheet(lot, live_server, page, sign_in):
    sign_in(Role.OPERATOR)
    page.goto(f"{live_server}/review")
    for _ in ("as it is", "on the worst day: every list far longer than a sheet holds"):
        assert page.pdf(format="Letter").count(b"/Type /Page\n") + page.pdf(format="A4").count(b"/Type /Page\n") == 2
        page.evaluate(LENGTHEN_LISTS)
