"""A form field for an exact number that keeps the digits as they are typed."""

from decimal import Decimal
from typing import Any

from wtforms.fields import StringField

from app.shared.typed import dimension


class DimensionField(StringField):
    """An exact number with the digits that were typed; it may be negative."""

    data: Any

    def process_formdata(self, valuelist: list[Any]) -> None:
        """Read the number.

        Raises:
            TypedError: it is not one, or has too many digits.
        """
        self.data = None
        if valuelist and str(valuelist[0]).strip():
            self.data = dimension(str(valuelist[0]))

    def _value(self) -> str:
        if self.raw_data:
            return str(self.raw_data[0])
        return f"{self.data:f}" if isinstance(self.data, Decimal) else ""
