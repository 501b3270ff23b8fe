"""What a browser would send of a form as it is shown."""

from html.parser import HTMLParser


class ShownForm(HTMLParser):
    """Collects the fields of the form with one id."""

    def __init__(self, form_id: str) -> None:
        super().__init__()
        self.form_id = form_id
        self.inside = False
        self.name = ""
        self.text: str | None = None
        self.sent: dict[str, str] = {}

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = {name: value or "" for name, value in attrs}
        if tag == "form":
            self.inside = found.get("id") == self.form_id
        elif self.inside and tag == "option" and "selected" in found:
            self.sent[self.name] = found["value"]
        elif self.inside and tag in {"input", "select", "textarea"}:
            self._begin(tag, found)

    def _begin(self, tag: str, found: dict[str, str]) -> None:
        self.name = found["name"]
        if tag == "textarea":
            self.text = ""
        elif tag == "input" and (found.get("type") != "checkbox" or "checked" in found):
            self.sent[self.name] = found.get("value", "")

    def handle_data(self, data: str) -> None:
        if self.text is not None:
            self.text += data

    def handle_endtag(self, tag: str) -> None:
        if tag == "textarea" and self.text is not None:
            self.sent[self.name] = self.text.strip()
            self.text = None


def fields_of(page: str, form_id: str) -> dict[str, str]:
    """Return the names and values of a form's fields."""
    form = ShownForm(form_id)
    form.feed(page)
    return form.sent
