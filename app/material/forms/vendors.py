"""What is typed about a vendor."""

from wtforms import BooleanField
from wtforms.validators import InputRequired, Length

from app.material.services import NewVendor
from app.shared.fields import LineField, LinesField
from app.shared.web import Form
from app.shared.words import lazy_gettext as _l


class VendorForm(Form):
    """Add or change a vendor."""

    name = LineField(
        _l("Name"),
        [InputRequired(_l("Enter the vendor's name.")), Length(max=80, message=_l("Use 80 characters or fewer."))],
        render_kw={"autocomplete": "off"},
    )
    contact = LinesField(_l("Contact"), [Length(max=1000, message=_l("Use 1,000 characters or fewer."))])
    active = BooleanField(_l("Active: offered for new purchases"), default=True)

    def to_input(self) -> NewVendor:
        """Hand the service typed values; call only after ``validate()``."""
        return NewVendor(name=self.name.data or "", contact=self.contact.data or "", active=bool(self.active.data))
