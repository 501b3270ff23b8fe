"""Pages of the floor area."""

from app.floor.views import (
    batches,
    codes,
    components,
    done,
    downtimes,
    entries,
    estimates,
    first_pieces,
    notes,
    paper,
    people,
    pieces,
    scans,
    signing,
    stations,
    upkeep,
    work,
)
from app.floor.views.blueprint import bp

__all__ = [
    "batches",
    "bp",
    "codes",
    "components",
    "done",
    "downtimes",
    "entries",
    "estimates",
    "first_pieces",
    "notes",
    "paper",
    "people",
    "pieces",
    "scans",
    "signing",
    "stations",
    "upkeep",
    "work",
]
