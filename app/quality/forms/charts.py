"""What is chosen on a chart page, and what of quality the shop shows."""

from collections.abc import Sequence
from typing import Any

from flask import request
from wtforms import BooleanField, SelectField, SelectMultipleField
from wtforms.validators import Optional
from wtforms.widgets import CheckboxInput, ListWidget

from app.core.quality.run_rules import Rule
from app.parts.models import QualitySwitches
from app.quality.queries import ChartType, Chosen
from app.shared.fields import DayField, WholeNumberField
from app.shared.web import Form
from app.shared.words import gettext
from app.shared.words import lazy_gettext as _l


def _key(typed: str) -> int | None:
    return int(typed) if typed and str(typed).isdigit() else None


def rule_words() -> dict[Rule, str]:
    """Return the run rules as pages name them."""
    return {
        Rule.BEYOND_LIMIT: gettext("one point beyond three sigma"),
        Rule.TWO_OF_THREE: gettext("two of three beyond two sigma"),
        Rule.FOUR_OF_FIVE: gettext("four of five beyond one sigma"),
        Rule.EIGHT_IN_A_ROW: gettext("eight in a row on one side"),
    }


class RulesField(SelectMultipleField):
    """The run rules, each with a tick."""

    widget = ListWidget(prefix_label=False)
    option_widget = CheckboxInput()

    def __init__(self, label: Any = None, **options: Any) -> None:
        super().__init__(
            label, choices=lambda: [(each.value, words) for each, words in rule_words().items()], **options
        )

    @property
    def rules(self) -> frozenset[Rule]:
        """Return those that are ticked."""
        return frozenset(Rule(each) for each in self.data or ())


class ChartForm(Form):
    """Which readings are charted and how; it comes with the address."""

    kind = SelectField(_l("Chart"), coerce=ChartType, default=ChartType.INDIVIDUALS.value)
    size = WholeNumberField(_l("Readings in a subgroup"), [Optional()], least=2, most=25, default=5)
    station_id = SelectField(_l("Station"), coerce=_key, validators=[Optional()])
    gauge_id = SelectField(_l("Gauge"), coerce=_key, validators=[Optional()])
    since = DayField(_l("From"), [Optional()])
    until = DayField(_l("To"), [Optional()])
    base_since = DayField(_l("Limits from"), [Optional()])
    base_until = DayField(_l("to"), [Optional()])
    rules = RulesField(_l("Rules"))

    def __init__(
        self,
        switches: QualitySwitches,
        stations: Sequence[tuple[int, str]],
        gauges: Sequence[tuple[int, str]],
    ) -> None:
        sent = request.args if "kind" in request.args else None
        super().__init__(formdata=sent, data={"rules": list(switches.rules)})
        offered = [each for each in ChartType if switches.moving_averages or each is not ChartType.MOVING_AVERAGE]
        self.kind.choices = [(each.value, each.word) for each in offered]
        self.station_id.choices = [("", gettext("all")), *stations]
        self.gauge_id.choices = [("", gettext("all")), *gauges]

    @staticmethod
    def chosen_word(field: SelectField) -> str:
        """Return what is chosen of a list as the page offers it."""
        return next((str(choice[1]) for choice in field.iter_choices() if choice[2]), "")

    def to_chosen(self) -> Chosen:
        """Return which readings are charted; call only after ``validate()``."""
        return Chosen(
            station_id=self.station_id.data,
            gauge_id=self.gauge_id.data,
            since=self.since.data,
            until=self.until.data,
            base_since=self.base_since.data,
            base_until=self.base_until.data,
        )


class SwitchesForm(Form):
    """What of quality the shop shows."""

    studies = BooleanField(_l("Studies of how well gauges repeat and people agree"))
    sampling = BooleanField(_l("Samples by lot size in control plans (ISO 2859-1, zero acceptance)"))
    moving_averages = BooleanField(_l("Charts of moving averages (EWMA)"))
    rules = RulesField(_l("Rules that charts look for"))
