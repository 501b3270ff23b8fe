"""Import parts and routings from a table: one row for each operation, all or nothing."""

from app.parts.services.imports.columns import COLUMNS, EXAMPLE_ROWS, ColumnHelp, column_helps
from app.parts.services.imports.plan import Outcome, PartsPreview, PreviewLine
from app.parts.services.imports.store import import_parts, preview_parts

__all__ = [
    "COLUMNS",
    "EXAMPLE_ROWS",
    "ColumnHelp",
    "Outcome",
    "PartsPreview",
    "PreviewLine",
    "column_helps",
    "import_parts",
    "preview_parts",
]
