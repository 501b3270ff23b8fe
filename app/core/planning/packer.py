"""What a shop is packed into: rows that grow, and what stands in the way of its lots."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from app.core.planning import arrays as a
from app.core.planning.layout import Layout
from app.core.planning.obstacles import Obstacle, ObstacleKind, Trouble
from app.core.planning.presence import Presence
from app.core.shop import Lot, Shop


@dataclass(slots=True)
class Packer:
    """What is being packed."""

    shop: Shop
    layout: Layout
    lots: tuple[Lot, ...]
    troubles: list[list[Trouble]]
    names: dict[str, int] = field(default_factory=dict)
    recipes: dict[str, int] = field(default_factory=dict)
    places: dict[str, int] = field(default_factory=dict)
    stations: list[list[int]] = field(default_factory=list)
    longest: dict[int, int] = field(default_factory=dict)
    by_work_center: dict[str, list[int]] = field(default_factory=dict)
    ops: list[list[int]] = field(default_factory=list)
    operations: list[tuple[int, int]] = field(default_factory=list)
    lot_rows: list[list[int]] = field(default_factory=list)
    arrivals: list[list[int]] = field(default_factory=list)
    returns: list[list[int]] = field(default_factory=list)
    pools: dict[tuple[tuple[int, ...], int], int] = field(default_factory=dict)
    pool_sizes: list[int] = field(default_factory=list)
    if_left_over: dict[int, ObstacleKind] = field(default_factory=dict)
    presences: list[tuple[Presence, ...]] = field(default_factory=list)
    """Who is together at each station; empty where people do not limit the work."""
    lasting: list[tuple[Presence, ...]] = field(default_factory=list)
    """Those of them who go on coming."""
    presence_rows: list[list[int]] = field(default_factory=list)
    waits: dict[str, list[str]] = field(default_factory=dict)
    """The lots that pieces of a lot wait for, all by their keys;"""
    never: Mapping[str, list[str]] = field(default_factory=dict)
    """and those that are known not to be finished, as ``unfinished`` tells them."""
    some_leave: bool = False
    """Whether that leaves some out."""

    def name(self, text: str | None) -> int:
        """Return the number of a family or fixture; 0 for none."""
        return self.names.setdefault(text, len(self.names) + 1) if text else 0


def block(packer: Packer, row: list[int], index: int, obstacle: Obstacle) -> None:
    """Let the pieces of an operation go no further."""
    row[a.O_BLOCKED] = 1
    note(packer, row, index, obstacle)


def note(packer: Packer, row: list[int], index: int, obstacle: Obstacle) -> None:
    """Keep what stands in the way of an operation."""
    packer.troubles[row[a.O_LOT]].append(Trouble(index, obstacle))
