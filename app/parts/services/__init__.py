"""The verbs of the parts area."""

from app.parts.services.components import NewComponent, add_component, remove_component
from app.parts.services.control_plan import (
    NewCharacteristic,
    Often,
    add_characteristic,
    change_characteristic,
    named_gauge_kind,
    retire_characteristic,
)
from app.parts.services.files import Upload, add_file, keep_file, move_file, remove_file, rename_file
from app.parts.services.imports import (
    COLUMNS,
    EXAMPLE_ROWS,
    ColumnHelp,
    Outcome,
    PartsPreview,
    PreviewLine,
    column_helps,
    import_parts,
    preview_parts,
)
from app.parts.services.kinds import NewKind, add_default_kinds, add_kind, change_kind, default_kinds
from app.parts.services.parts import (
    NewPart,
    NewRevision,
    add_part,
    add_revision,
    change_part,
    change_revision,
    make_current,
)
from app.parts.services.plan_heads import NewPlanHead, change_plan_head
from app.parts.services.routing_rules import NewOperation
from app.parts.services.routings import NewRouting, save_routing

__all__ = [
    "COLUMNS",
    "EXAMPLE_ROWS",
    "ColumnHelp",
    "NewCharacteristic",
    "NewComponent",
    "NewKind",
    "NewOperation",
    "NewPart",
    "NewPlanHead",
    "NewRevision",
    "NewRouting",
    "Often",
    "Outcome",
    "PartsPreview",
    "PreviewLine",
    "Upload",
    "add_characteristic",
    "add_component",
    "add_default_kinds",
    "add_file",
    "add_kind",
    "add_part",
    "add_revision",
    "change_characteristic",
    "change_kind",
    "change_part",
    "change_plan_head",
    "change_revision",
    "column_helps",
    "default_kinds",
    "import_parts",
    "keep_file",
    "make_current",
    "move_file",
    "named_gauge_kind",
    "preview_parts",
    "remove_component",
    "remove_file",
    "rename_file",
    "retire_characteristic",
    "save_routing",
]
