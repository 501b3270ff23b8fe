"""What is typed about parts, routings, kinds of operation and files."""

from app.parts.forms.control_plan import CharacteristicForm
from app.parts.forms.files import FileForm, TitleForm
from app.parts.forms.kinds import KindForm
from app.parts.forms.parts import AddRevisionForm, ComponentForm, PartForm, PartWithRevisionForm, RevisionForm
from app.parts.forms.plan_heads import PlanHeadForm
from app.parts.forms.routings import Offer, OperationForm, RoutingForm, rows_of
from app.parts.forms.rows import ButtonPressed, rearranged

__all__ = [
    "AddRevisionForm",
    "ButtonPressed",
    "CharacteristicForm",
    "ComponentForm",
    "FileForm",
    "KindForm",
    "Offer",
    "OperationForm",
    "PartForm",
    "PartWithRevisionForm",
    "PlanHeadForm",
    "RevisionForm",
    "RoutingForm",
    "TitleForm",
    "rearranged",
    "rows_of",
]
