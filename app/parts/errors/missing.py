"""What is asked for and not there."""

from app.shared.errors import NotFoundError
from app.shared.words import gettext


class PartNotFoundError(NotFoundError):
    """There is no such part."""

    def __init__(self) -> None:
        super().__init__(gettext("There is no such part. Choose one from the list of parts."))


class RevisionNotFoundError(NotFoundError):
    """There is no such revision."""

    def __init__(self) -> None:
        super().__init__(gettext("There is no such revision. Choose one on the part's page."))


class RoutingNotFoundError(NotFoundError):
    """There is no such version of a routing, or no such operation."""

    def __init__(self) -> None:
        super().__init__(gettext("There is no such routing or operation. Choose one on the part's page."))


class ComponentNotFoundError(NotFoundError):
    """There is no such component."""

    def __init__(self) -> None:
        super().__init__(gettext("That component has been removed already."))


class KindNotFoundError(NotFoundError):
    """There is no such kind of operation."""

    def __init__(self) -> None:
        super().__init__(gettext("There is no such kind of operation. Choose one from the list."))


class StoredFileNotFoundError(NotFoundError):
    """There is no such file or page."""

    def __init__(self) -> None:
        super().__init__(gettext("There is no such file. It may have been removed from its operation."))
