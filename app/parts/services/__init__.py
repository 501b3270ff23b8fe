"""The verbs of the parts area."""

from app.parts.services.components import NewComponent, add_component, remove_component
from app.parts.services.files import Upload, add_file, move_file, remove_file, rename_file
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
from app.parts.services.routing_rules import NewOperation
from app.parts.services.routings import NewRouting, save_routing

__all__ = [
    "COLUMNS",
    "EXAMPLE_ROWS",
    "ColumnHelp",
    "NewComponent",
    "NewKind",
    "NewOperation",
    "NewPart",
    "NewRevision",
    "NewRouting",
    "Outcome",
    "PartsPreview",
    "PreviewLine",
    "Upload",
    "add_component",
    "add_default_kinds",
    "add_file",
    "add_kind",
    "add_part",
    "add_revision",
    "change_kind",
    "change_part",
    "change_revision",
    "column_helps",
    "default_kinds",
    "import_parts",
    "make_current",
    "move_file",
    "preview_parts",
    "remove_component",
    "remove_file",
    "rename_file",
    "save_routing",
]
