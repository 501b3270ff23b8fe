"""What a person types about lots."""

from app.lots.forms.changes import (
    AddForm,
    ChangeForm,
    JoinForm,
    MoveForm,
    OperationForm,
    RevisionForm,
    SendForm,
    WayForm,
)
from app.lots.forms.lots import (
    AsideForm,
    CountForm,
    FewerForm,
    IssueForm,
    KeyForm,
    MeanForForm,
    PiecesForm,
    ReasonForm,
    ReleaseForm,
    ShareForm,
    TouchedForm,
)

__all__ = [
    "AddForm",
    "AsideForm",
    "ChangeForm",
    "CountForm",
    "FewerForm",
    "IssueForm",
    "JoinForm",
    "KeyForm",
    "MeanForForm",
    "MoveForm",
    "OperationForm",
    "PiecesForm",
    "ReasonForm",
    "ReleaseForm",
    "RevisionForm",
    "SendForm",
    "ShareForm",
    "TouchedForm",
    "WayForm",
]
