"""What nobody has on record."""

from app.shared.errors import NotFoundError
from app.shared.words import gettext


class CustomerNotFoundError(NotFoundError):
    """No such customer."""

    def __init__(self) -> None:
        super().__init__(gettext("There is no such customer. Choose one from the list of customers."))


class OrderNotFoundError(NotFoundError):
    """No such order, line or delivery."""

    def __init__(self) -> None:
        super().__init__(
            gettext("There is no such order. It may have been removed; look for it in the list of orders.")
        )
