"""What a person types to change a released lot."""

from collections.abc import Iterable, Sequence

from wtforms import SelectField
from wtforms.validators import InputRequired, Length, Optional

from app.lots.forms.lots import REASON_LENGTH
from app.lots.models import Lot, LotOperation
from app.lots.queries import ChangeOffer, lot_name
from app.lots.queries.sendings import still_to_do
from app.lots.services import MOST_STATIONS, NewOperation, Way
from app.parts.models import KindRole, OperationKind
from app.shared.fields import LineField, LinesField, WholeNumberField
from app.shared.web import KeyedForm
from app.shared.words import gettext, ngettext
from app.shared.words import lazy_gettext as _
from app.stations.models import Station, WorkCenter

Choices = list[tuple[int, str]]


def named(operations: Iterable[LotOperation]) -> Choices:
    """Return operations as choices."""
    return [(each.id, f"{each.number} {each.title}".strip()) for each in operations]


def places(offer: ChangeOffer) -> Choices:
    """Return the operations after which another can come; 0 is before all."""
    found = [(each.id, each) if each else (0, None) for each in offer.places]
    return [
        (key, gettext("after %(number)s %(title)s", number=each.number, title=each.title) if each else gettext("first"))
        for key, each in found
    ]


class ChangeForm(KeyedForm):
    """A change of a lot: it always says why."""

    reason = LineField(_("Why"), [InputRequired(_("Say why")), Length(max=REASON_LENGTH)])


class AddForm(ChangeForm):
    """An operation that is added."""

    after_id = SelectField(_("Where"), coerce=int)
    title = LineField(_("What is done"), [InputRequired(_("Say what is done")), Length(max=120)])
    kind_id = SelectField(_("Kind"), coerce=int)
    work_center_id = SelectField(_("Work center"), coerce=int)
    setup_minutes = WholeNumberField(_("Set-up, minutes"), [Optional()], most=10_000)
    cycle_seconds = WholeNumberField(_("Seconds a piece"), [Optional()], most=86_400)
    lead_days = WholeNumberField(_("Days away, if others do it"), [Optional()], most=1000)
    instructions = LinesField(_("Instructions"), [Optional(), Length(max=4000)])

    def offer(self, offer: ChangeOffer, kinds: Sequence[OperationKind], centers: Sequence[WorkCenter]) -> None:
        """Fill the choices; call before it is shown or validated."""
        self.after_id.choices = places(offer)
        self.kind_id.choices = [(each.id, each.name) for each in kinds if each.role is not KindRole.BLANKS]
        self.work_center_id.choices = [(0, gettext("none: others do it")), *((each.id, each.name) for each in centers)]

    def to_input(self) -> NewOperation:
        """Hand the service typed values; call only after ``validate()``."""
        return NewOperation(
            after_id=self.after_id.data or None,
            title=self.title.data or "",
            kind_id=self.kind_id.data,
            work_center_id=self.work_center_id.data or None,
            setup_seconds=60 * (self.setup_minutes.data or 0),
            cycle_ms=1000 * (self.cycle_seconds.data or 0),
            lead_days=self.lead_days.data or 0,
            instructions=self.instructions.data or "",
        )


class OperationForm(ChangeForm):
    """A change of one operation."""

    operation_id = SelectField(_("Operation"), coerce=int)

    def offer(self, operations: Iterable[LotOperation]) -> None:
        """Let one of some operations be chosen."""
        self.operation_id.choices = named(operations)


class MoveForm(OperationForm):
    """An operation that is done at another place of the order."""

    after_id = SelectField(_("New place"), coerce=int)

    def offer_places(self, offer: ChangeOffer) -> None:
        """Let one of the operations be chosen, and its new place."""
        self.offer(offer.movable)
        self.after_id.choices = places(offer)


class RevisionForm(OperationForm):
    """Another revision, from an operation on."""

    revision_id = SelectField(_("To revision"), coerce=int)

    def offer_revisions(self, offer: ChangeOffer) -> None:
        """Let one of the part's revisions be chosen, the newest first, and the first operation that it replaces."""
        self.offer(offer.skippable)
        self.revision_id.choices = [(each.id, each.label) for each in reversed(offer.revisions)]


class SendForm(ChangeForm):
    """One station for an operation: its key and the station's, or 0 to let it go."""

    where = SelectField(_("Operation and station"))

    def offer(self, lot: Lot, stations: Sequence[Station]) -> None:
        """Offer each station of the work center of each operation that is not skipped, and to let go what was sent."""
        found: list[tuple[str, str]] = []
        for each in lot.operations:
            able = [one for one in stations if one.work_center_id == each.work_center_id and one.active]
            if each.skipped or each.work_center_id is None or not able:
                continue
            words = f"{each.number} {each.title}"
            if each.sent_to_station_id is not None:
                found.append((f"{each.id}-0", gettext("%(operation)s: any station again", operation=words)))
            found += [
                (f"{each.id}-{one.id}", f"{words}: {one.name}") for one in able if one.id != each.sent_to_station_id
            ]
        self.where.choices = found

    def to_input(self) -> tuple[int, int | None]:
        """Return the operation and the station, None to let it go; call only after ``validate()``."""
        operation, _dash, station = (self.where.data or "").partition("-")
        return int(operation), int(station) or None


class WayForm(OperationForm):
    """Over how many stations an operation is split, and how many of its pieces go ahead at a time."""

    stations = WholeNumberField(
        _("Stations"), [InputRequired(_("Enter over how many, 1 for one"))], least=1, most=MOST_STATIONS, default=1
    )
    ahead = WholeNumberField(_("Pieces that go ahead at a time"), [Optional()], most=10_000)

    def offer_ways(self, lot: Lot) -> None:
        """Let one of the operations be chosen that are done at stations and not yet over."""
        self.offer(each for each in lot.operations if each.work_center_id is not None and still_to_do(each))

    def to_input(self) -> Way:
        """Hand the service typed values; call only after ``validate()``."""
        return Way(self.stations.data or 1, self.ahead.data or 0)


class JoinForm(ChangeForm):
    """A lot that goes on as part of this one."""

    joined_id = SelectField(_("Lot that joins"), coerce=int)

    def offer(self, lots: Sequence[Lot]) -> None:
        """Let one of the lots that are alike be chosen."""
        self.joined_id.choices = [
            (each.id, ngettext("%(lot)s, %(num)d piece", "%(lot)s, %(num)d pieces", _waiting(each), lot=lot_name(each)))
            for each in lots
        ]
        self.joined_id.validate_choice = False  # what changed meanwhile is said by the service


def _waiting(lot: Lot) -> int:
    return sum(each.waiting for each in lot.operations)
