"""What is sent from a station."""

from app.floor.forms.done import ResultForm
from app.floor.forms.pieces import ComponentForm, FirstPieceForm, PiecesForm, ReasonForm
from app.floor.forms.sent import PhotoForm, PinForm, ScanForm, SentForm

__all__ = [
    "ComponentForm",
    "FirstPieceForm",
    "PhotoForm",
    "PiecesForm",
    "PinForm",
    "ReasonForm",
    "ResultForm",
    "ScanForm",
    "SentForm",
]
