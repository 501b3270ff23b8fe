"""Reads a planning problem in any of the forms that are known, told apart by what is in it."""

from fractions import Fraction

from app.core.case_file import shop_of_case
from app.core.job_shop_text import read_job_shop
from app.core.planning.problem_file import shop_of
from app.core.planning.reading import BadFileError, parsed
from app.core.shop import Shop


def read_any_problem(text: str, *, due_factor: Fraction | None = None) -> Shop:
    """Return the shop of a problem file, a planning case, or the plain text of a published job-shop instance.

    ``due_factor`` gives the jobs of a published instance due dates.

    Raises:
        BadFileError: what looks like JSON is neither of the first two, or one of them and has due dates of its own; the
            sentence says where.
        JobShopTextError: it is not JSON, and no such instance either.
    """
    if not text.lstrip().startswith(("{", "[")):
        return read_job_shop(text, due_factor=due_factor)
    if due_factor is not None:
        raise BadFileError("", "has due dates of its own: a factor is only for the text of a published instance.")
    document = parsed(text)
    if isinstance(document, dict) and "station_calendar" in document:
        return shop_of_case(document)
    return shop_of(document)
