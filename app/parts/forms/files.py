"""Forms for drawings and set-up sheets."""

from wtforms import FileField
from wtforms.validators import Length, Optional, ValidationError

from app.parts.services import Upload
from app.shared.fields import LineField
from app.shared.web import Form
from app.shared.words import gettext
from app.shared.words import lazy_gettext as _l

TITLE = [Optional(), Length(max=120, message=_l("Use 120 characters or fewer."))]


class FileForm(Form):
    """Add a drawing or set-up sheet."""

    file = FileField(_l("Drawing or set-up sheet"), render_kw={"accept": ".png,.jpg,.jpeg,.webp,.pdf"})
    title = LineField(_l("Title"), TITLE, render_kw={"autocomplete": "off"})

    def validate_file(self, field: FileField) -> None:
        """Ask for a file where none was chosen."""
        if not getattr(field.data, "filename", ""):
            raise ValidationError(gettext("Choose a picture or a PDF."))

    def to_input(self) -> Upload:
        """Hand the service the file; call only after ``validate()``."""
        sent = self.file.data
        return Upload(name=sent.filename, data=sent.read(), title=self.title.data or "")


class TitleForm(Form):
    """Give a file another title."""

    title = LineField(_l("Title"), [Length(min=1, max=120, message=_l("Enter a title of up to 120 characters."))])
