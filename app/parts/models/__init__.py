"""Parts, their revisions and blanks, and the routings that make them."""

from app.parts.models.characteristics import (
    Characteristic,
    CharacteristicKind,
    CharacteristicPlan,
    Concerns,
    FrequencyKind,
    GaugeKind,
)
from app.parts.models.files import OperationFile, StoredFile, StoredPage
from app.parts.models.parts import BlankForm, BlankSource, Component, Part, Revision
from app.parts.models.plan_heads import PlanHead, PlanPhase
from app.parts.models.routings import KindRole, OperationKind, OperationPlan, Routing, RoutingOperation, Taking
from app.parts.models.switches import QualitySwitches

__all__ = [
    "BlankForm",
    "BlankSource",
    "Characteristic",
    "CharacteristicKind",
    "CharacteristicPlan",
    "Component",
    "Concerns",
    "FrequencyKind",
    "GaugeKind",
    "KindRole",
    "OperationFile",
    "OperationKind",
    "OperationPlan",
    "Part",
    "PlanHead",
    "PlanPhase",
    "QualitySwitches",
    "Revision",
    "Routing",
    "RoutingOperation",
    "StoredFile",
    "StoredPage",
    "Taking",
]
