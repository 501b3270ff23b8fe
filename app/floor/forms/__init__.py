"""What is sent from a station."""

from app.floor.forms.done import ResultForm
from app.floor.forms.downtimes import DownForm, GuessForm, MoveForm, OfficeForm
from app.floor.forms.estimates import EstimateForm
from app.floor.forms.loads import ShareForm
from app.floor.forms.measuring import MadeForm, ReadingForm, WhyForm
from app.floor.forms.notes import LotNoteForm, NoteForm
from app.floor.forms.paper import PaperForm, offer_station
from app.floor.forms.pieces import ComponentForm, FirstPieceForm, PiecesForm, ReasonForm
from app.floor.forms.sent import PhotoForm, PinForm, ScanForm, SentForm
from app.floor.forms.upkeep import ServiceForm

__all__ = [
    "ComponentForm",
    "DownForm",
    "EstimateForm",
    "FirstPieceForm",
    "GuessForm",
    "LotNoteForm",
    "MadeForm",
    "MoveForm",
    "NoteForm",
    "OfficeForm",
    "PaperForm",
    "PhotoForm",
    "PiecesForm",
    "PinForm",
    "ReadingForm",
    "ReasonForm",
    "ResultForm",
    "ScanForm",
    "SentForm",
    "ServiceForm",
    "ShareForm",
    "WhyForm",
    "offer_station",
]
