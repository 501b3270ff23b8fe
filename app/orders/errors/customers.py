"""Names of customers that cannot be used."""

from collections.abc import Sequence

from app.shared.errors import PlainError
from app.shared.words import gettext


class CustomerNameTakenError(PlainError):
    """Another customer has this name."""

    def __init__(self, name: str) -> None:
        super().__init__(gettext("There is already a customer called %(name)s. Choose another name.", name=name))


class UnknownCustomerError(PlainError):
    """The typed name is no customer's, and nobody said that it is a new one."""

    def __init__(self, name: str, similar: Sequence[str]) -> None:
        self.similar = tuple(similar)
        asked = gettext("There is no customer called %(name)s yet.", name=name)
        if similar:
            asked += " " + gettext("Did you mean %(names)s?", names=gettext(" or ").join(similar))
        super().__init__(asked + " " + gettext("Correct the name, or tick 'New customer' to add it."))


class InactiveCustomerError(PlainError):
    """The customer is kept for its history only."""

    def __init__(self, name: str) -> None:
        super().__init__(
            gettext("%(name)s is marked as a former customer. Make it active again under Customers first.", name=name)
        )


class MissingCustomerError(PlainError):
    """Nobody said whose order it is."""

    def __init__(self) -> None:
        super().__init__(gettext("Choose the customer, or type the name of a new one."))
