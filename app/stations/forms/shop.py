"""The shop's settings, and the page that sets it up."""

import re
from datetime import time
from typing import Any

from wtforms import Field, PasswordField, RadioField, SelectField
from wtforms.validators import DataRequired, InputRequired, Length, Optional, ValidationError

from app.people.models import Role
from app.people.services import NewPerson
from app.shared.fields import LineField, WholeNumberField
from app.shared.moment_field import ClockField
from app.shared.typed import TypedError, typed_weight, weight_grams
from app.shared.units import UnitSystem
from app.shared.web import Form
from app.shared.words import gettext
from app.shared.words import lazy_gettext as _l
from app.stations import queries
from app.stations.models import Shop
from app.stations.services import ShopSettings

USUAL_LIFT_LIMIT = "51 lb"
"""The load constant of the NIOSH lifting equation (DHHS/NIOSH 94-110): a ceiling for an ideal lift."""

PLANNING = ("promise_percent", "search_seconds", "plan_gain_hours")
_ADDRESS = re.compile(r"https?://[A-Za-z0-9.-]+(:[0-9]{1,5})?")


class BasicsForm(Form):
    """What has to be known of a shop before anything can be planned."""

    name = LineField(
        _l("Shop name"),
        [DataRequired(_l("Enter the shop's name.")), Length(max=80, message=_l("Use 80 characters or fewer."))],
    )
    time_zone = SelectField(
        _l("Time zone"), [InputRequired(_l("Choose the time zone."))], default="America/New_York", validate_choice=False
    )
    units = RadioField(
        _l("Units"),
        [InputRequired(_l("Choose the units."))],
        default=UnitSystem.INCH.value,
    )
    shipping_cutoff = ClockField(
        _l("Shipping cut-off"),
        [InputRequired(_l("Enter the time of day after which nothing leaves."))],
        default=time(15, 0),
    )
    country = SelectField(_l("Country, for its holidays"), default="US", validate_choice=False)
    state = LineField(
        _l("State or province"),
        [Optional(), Length(max=80, message=_l("Use 80 characters or fewer."))],
        render_kw={"list": "states", "autocomplete": "off"},
    )

    def __init__(self, **options: Any) -> None:
        super().__init__(**options)
        self.time_zone.choices = {
            group: {name: name.split("/", 1)[-1].replace("_", " ") for name in names}
            for group, names in queries.time_zones().items()
        }
        self.country.choices = dict(queries.countries())
        self.units.choices = {
            UnitSystem.INCH.value: gettext("inches and pounds"),
            UnitSystem.METRIC.value: gettext("mm and kg"),
        }

    def known_states(self) -> list[str]:
        """Return the names of the chosen country's states, for the field's suggestions."""
        chosen = self.country.data or ""
        return [name for _code, name in queries.states(chosen)] if chosen in dict(queries.countries()) else []

    def basics(self) -> dict[str, Any]:
        """Return what both forms know, under the names that ShopSettings has."""
        return {
            "name": self.name.data or "",
            "time_zone": self.time_zone.data or "",
            "shipping_cutoff": self.shipping_cutoff.data or time(15, 0),
            "units": UnitSystem(self.units.data),
            "country": self.country.data or "",
            "state": self.state.data or "",
        }


class SetupForm(BasicsForm):
    """The shop and its first owner."""

    owner_name = LineField(
        _l("Your name"),
        [DataRequired(_l("Enter your name.")), Length(max=80, message=_l("Use 80 characters or fewer."))],
        render_kw={"autocomplete": "name"},
    )
    owner_initials = LineField(
        _l("Your initials"),
        [DataRequired(_l("Enter one to four letters.")), Length(max=4, message=_l("Use four letters or fewer."))],
        render_kw={"autocomplete": "off", "size": 4},
    )
    owner_password = PasswordField(
        _l("Your password"),
        [InputRequired(_l("Choose a password.")), Length(max=200, message=_l("Use 200 characters or fewer."))],
        render_kw={"autocomplete": "new-password"},
    )

    def to_settings(self) -> ShopSettings:
        """Hand the service typed values; call only after ``validate()``."""
        basics = self.basics()
        return ShopSettings(**basics, lift_limit_grams=weight_grams(USUAL_LIFT_LIMIT, basics["units"]))

    def to_owner(self) -> NewPerson:
        """Hand the service the first owner; call only after ``validate()``."""
        return NewPerson(
            name=self.owner_name.data or "",
            initials=(self.owner_initials.data or "").upper(),
            roles=frozenset({Role.OWNER}),
            password=self.owner_password.data or "",
        )


class SettingsForm(BasicsForm):
    """All settings of the shop."""

    lift_limit = LineField(
        _l("Lift limit"), [DataRequired(_l("Enter the heaviest load that one person lifts by hand."))]
    )
    idle_minutes = WholeNumberField(
        _l("Minutes until a station signs a person off"),
        [InputRequired(_l("Enter minutes, such as 240."))],
        least=1,
        most=1440,
    )
    sure_percent = WholeNumberField(
        _l("How sure an order has to be, in percent"),
        [InputRequired(_l("Enter a percentage, such as 95."))],
        least=50,
        most=99,
    )
    promise_percent = WholeNumberField(
        _l("How sure a promised date has to be, in percent"),
        [Optional()],
        least=50,
        most=99,
        default=80,
    )
    search_seconds = WholeNumberField(
        _l("Seconds to look for a better order of work"), [Optional()], least=5, most=3600, default=60
    )
    plan_gain_hours = WholeNumberField(
        _l("Hours late that a better order must save"), [Optional()], most=10_000, default=8
    )
    address = LineField(
        _l("Address in printed codes"),
        [Optional(), Length(max=200, message=_l("Use 200 characters or fewer."))],
        filters=[lambda typed: (typed or "").rstrip("/")],
        render_kw={"autocomplete": "off", "placeholder": "http://shop-pc:8080"},
    )

    @classmethod
    def showing(cls, shop: Shop | None) -> "SettingsForm":
        """Return the form with what is stored, or with usual values before there is a shop."""
        if shop is None:
            usual = {"lift_limit": USUAL_LIFT_LIMIT, "idle_minutes": 240, "sure_percent": 95}
            return cls(data=usual)
        lift_limit = f"{typed_weight(shop.lift_limit_grams, shop.units)} {shop.units.weight_unit}"
        other_names = {"country": shop.holiday_country, "state": shop.holiday_state, "lift_limit": lift_limit}
        same_names = ("name", "time_zone", "shipping_cutoff", "idle_minutes", "sure_percent", "address", *PLANNING)
        kept = {name: getattr(shop, name) for name in same_names}
        return cls(data={**kept, **other_names, "units": shop.units.value})

    def validate_lift_limit(self, field: Field) -> None:
        """Refuse what is not a weight above zero."""
        try:
            grams = self._lift_limit_grams(field.data)
        except TypedError as error:
            raise ValidationError(str(error)) from error
        if grams < 1:
            raise ValidationError(gettext("Enter a weight above zero, such as 50 lb or 23 kg."))

    def validate_address(self, field: Field) -> None:
        """Refuse an address that a phone could not open."""
        if not _ADDRESS.fullmatch(field.data):
            raise ValidationError(gettext("Enter http:// and the computer's name, such as http://shop-pc:8080."))

    def to_settings(self) -> ShopSettings:
        """Hand the service typed values; call only after ``validate()``."""
        return ShopSettings(
            **self.basics(),
            lift_limit_grams=self._lift_limit_grams(self.lift_limit.data or ""),
            idle_minutes=self.idle_minutes.data or 0,
            sure_percent=self.sure_percent.data or 0,
            promise_percent=self.promise_percent.data or 80,
            search_seconds=self.search_seconds.data or 60,
            plan_gain_hours=8 if self.plan_gain_hours.data is None else self.plan_gain_hours.data,
            address=self.address.data or "",
        )

    def _lift_limit_grams(self, typed: str) -> int:
        units = UnitSystem.METRIC if self.units.data == UnitSystem.METRIC.value else UnitSystem.INCH
        return weight_grams(typed, units)
