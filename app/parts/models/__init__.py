"""Parts, their revisions and blanks, and the routings that make them."""

from app.parts.models.files import OperationFile, StoredFile, StoredPage
from app.parts.models.parts import BlankForm, BlankSource, Component, Part, Revision
from app.parts.models.routings import KindRole, OperationKind, OperationPlan, Routing, RoutingOperation, Taking

__all__ = [
    "BlankForm",
    "BlankSource",
    "Component",
    "KindRole",
    "OperationFile",
    "OperationKind",
    "OperationPlan",
    "Part",
    "Revision",
    "Routing",
    "RoutingOperation",
    "StoredFile",
    "StoredPage",
    "Taking",
]
