"""Forms with rows: finding every field, whichever row it stands in, by its name on the page."""

from collections.abc import Iterator
from typing import Any

import wtforms
from wtforms import Field, FieldList, FormField

from app.shared.errors import Problem


def every_field(form: wtforms.Form) -> Iterator[Field]:
    """Give every field of a form and of the rows inside it, rows last, as the page shows them."""
    for field in sorted(form, key=lambda each: isinstance(each, FieldList)):
        yield field
        if isinstance(field, FormField):
            yield from every_field(field.form)
        elif isinstance(field, FieldList):
            for row in field:
                yield from every_field(row.form)


def wrong_fields(form: wtforms.Form) -> Iterator[tuple[Field, list[str]]]:
    """Give each field that has messages, with them, in the order of the page."""
    for field in every_field(form):
        in_rows = (list, dict)  # what a list of rows says of its rows stands with their own fields
        found: list[Any] = [] if isinstance(field, FormField) else list(field.errors)
        messages = [str(each) for each in found if not isinstance(each, in_rows)]
        if messages:
            yield field, messages


def put_problem(form: wtforms.Form, problem: Problem) -> None:
    """Show what a service found beside the field it is about, or over the form where it is about none."""
    for field in every_field(form):
        if field.name == problem.place:
            field.errors = [*field.errors, str(problem.error)]
            return
    form.form_errors.append(str(problem.error))
