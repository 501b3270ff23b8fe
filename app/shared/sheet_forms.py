"""Forms to import a table: choose the file, then confirm what the preview shows."""

from typing import Any

from werkzeug.exceptions import RequestEntityTooLarge
from wtforms import FileField, HiddenField
from wtforms.validators import ValidationError

from app.shared.sheets import Sheet, read_sheet, unpack
from app.shared.web import Form
from app.shared.words import gettext
from app.shared.words import lazy_gettext as _l


class ImportForm(Form):
    """Choose a table."""

    file = FileField(_l("Table"), render_kw={"accept": ".csv,.txt,.xlsx"})

    def __init__(self, **options: Any) -> None:
        self._too_large = False
        try:
            super().__init__(**options)
        except RequestEntityTooLarge:
            self._too_large = True
            super().__init__(formdata=None)

    def validate_file(self, field: FileField) -> None:
        """Ask for a file where none was chosen, or where it is larger than what can be sent."""
        if self._too_large:
            raise ValidationError(gettext("The file is larger than 10 MB. Split it into smaller files."))
        if not getattr(field.data, "filename", ""):
            raise ValidationError(gettext("Choose a .csv or .xlsx file."))

    def to_sheet(self) -> Sheet:
        """Read the table; call only after ``validate()``.

        Raises:
            SheetError: the file is no table.
        """
        return read_sheet(self.file.data.read(), self.file.data.filename)


class ConfirmImportForm(Form):
    """Confirm a preview, which brings its table along."""

    table = HiddenField()

    def to_sheet(self) -> Sheet:
        """Return the previewed table.

        Raises:
            SheetError: it got lost on the way.
        """
        return unpack(self.table.data or "")
