"""What a release page shows: the quantity to start and why, the blanks at hand, the deliveries a lot may serve."""

from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.starts import LARGEST_START, Start, StartTooLargeError, chance_of_enough, pieces_to_start
from app.lots.errors import LargestStartError
from app.lots.queries.cover import covered_pieces
from app.material import queries as material_queries
from app.orders import queries as order_queries
from app.orders.models import Delivery
from app.parts import queries as part_queries
from app.parts.models import BlankSource, KindRole, Revision, Routing
from app.shared.words import gettext
from app.stations.models import Shop

DEFAULT_SURE_PERCENT = 95


@dataclass(frozen=True, slots=True)
class Proposal:
    """How many pieces to start.

    Attributes:
        start: the quantity and what it is made of.
        at_hand: blanks at hand.
        orders_blanks: the routing has an operation at which pieces wait for their blanks.
        customer_sends: the blanks are the customer's.
        to_start: the proposed quantity.
        chance: how sure ``to_start`` gives enough good pieces.
    """

    start: Start
    at_hand: int
    orders_blanks: bool
    customer_sends: bool
    to_start: int
    chance: Decimal

    @property
    def blanks_can_come(self) -> bool:
        """Say whether blanks can be bought; else what is at hand is all there is."""
        return self.orders_blanks and not self.customer_sends

    @property
    def capped(self) -> bool:
        """Say whether the blanks at hand are the reason that fewer start than it takes to be sure."""
        return not self.blanks_can_come and self.to_start == self.at_hand < self.start.quantity

    @property
    def reason(self) -> str:
        """Say in words why so many."""
        parts = [gettext("%(pieces)s needed", pieces=self.start.needed)]
        if self.start.setup_loss:
            parts.append(gettext("%(pieces)s lost in setting up", pieces=self.start.setup_loss))
        if self.start.allowance:
            parts.append(
                gettext(
                    "%(pieces)s for a yield of %(percent)s %%, to be %(sure)s %% sure",
                    pieces=self.start.allowance,
                    percent=shown_percent(self.start.overall_yield),
                    sure=shown_percent(self.start.confidence),
                )
            )
        words = " + ".join(parts)
        if self.capped:
            words += gettext(
                "; only %(pieces)s blanks are at hand, so the order is %(chance)s %% sure",
                pieces=self.at_hand,
                chance=shown_percent(self.chance),
            )
        elif self.to_start < self.start.quantity:
            words += gettext(
                "; %(pieces)s are started, so the order is %(chance)s %% sure",
                pieces=self.to_start,
                chance=shown_percent(self.chance),
            )
        return words


def shown_percent(share: Decimal | Fraction) -> str:
    """Show a share as a percentage with at most one place, never rounded up to 100: ``99.9``."""
    tenths = int(share * 1000)
    return f"{tenths // 10}.{tenths % 10}" if tenths % 10 else str(tenths // 10)


def propose_start(session: orm.Session, routing: Routing, needed: int, *, to_start: int | None = None) -> Proposal:
    """Work out how many pieces of a revision to start, or how sure a chosen ``to_start`` is.

    Blanks at hand cap the start where no others can be bought. Where none are at hand nothing can be said of them: the
    whole quantity is proposed, and the page says that they are missing.

    Raises:
        LargestStartError: that are more pieces than anybody starts at once.
    """
    start = start_of(session, routing, needed)
    at_hand = material_queries.blanks_at_hand(session, [routing.revision_id])[routing.revision_id]
    found = Proposal(
        start=start,
        at_hand=at_hand,
        orders_blanks=any(operation.kind.role is KindRole.BLANKS for operation in routing.operations),
        customer_sends=routing.revision.blank_source is BlankSource.CUSTOMER,
        to_start=start.quantity if to_start is None else to_start,
        chance=start.chance,
    )
    if to_start is None and at_hand and not found.blanks_can_come:
        found = replace(found, to_start=min(start.quantity, at_hand))
    return replace(found, chance=_chance(start, found.to_start))


def start_of(session: orm.Session, routing: Routing, needed: int) -> Start:
    """Return how many pieces of a routing to start so that enough good ones come out, as sure as the shop wants it.

    Raises:
        LargestStartError: more pieces than anybody starts at once.
    """
    losses = [operation.setup_loss for operation in routing.operations]
    yields = [operation.expected_yield for operation in routing.operations]
    try:
        return pieces_to_start(needed, losses, yields, _confidence(session))
    except StartTooLargeError as error:
        raise LargestStartError(LARGEST_START) from error


def _chance(start: Start, chosen: int) -> Decimal:
    try:
        return chance_of_enough(chosen, start.needed, start.setup_losses, start.yields)
    except StartTooLargeError as error:
        raise LargestStartError(LARGEST_START) from error


def _confidence(session: orm.Session) -> Decimal:
    percent = session.scalars(sa.select(Shop.sure_percent)).first() or DEFAULT_SURE_PERCENT
    return Decimal(percent) / 100


@dataclass(frozen=True, slots=True)
class OpenDelivery:
    """A delivery that a new lot of its revision may serve, and how many of its pieces no lot serves yet."""

    delivery: Delivery
    uncovered: int


def open_deliveries(session: orm.Session, revision_id: int) -> list[OpenDelivery]:
    """Return the open deliveries of a revision, soonest first, with what no lot serves yet."""
    deliveries = order_queries.open_deliveries_of_revision(session, revision_id)
    covered = covered_pieces(session, deliveries)
    return [OpenDelivery(each, max(0, each.quantity - covered.get(each.id, 0))) for each in deliveries]


@dataclass(frozen=True, slots=True)
class ReleaseSubject:
    """What is being released."""

    revision: Revision
    routing: Routing | None
    deliveries: list[OpenDelivery]


def release_subject(session: orm.Session, revision_id: int) -> ReleaseSubject:
    """Load a revision with its newest routing and open deliveries.

    Raises:
        NotFoundError: no such revision.
    """
    revision = part_queries.get_revision(session, revision_id)
    routing = part_queries.routing_of(session, revision_id)
    return ReleaseSubject(revision, routing, open_deliveries(session, revision_id))
