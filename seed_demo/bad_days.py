"""Days on which floor, paper and books went apart: a sign-off that somebody forgot, a traveler filled in by pen."""

from dataclasses import replace
from datetime import timedelta

from app.lots.models import Lot
from app.lots.services import PaperRow, enter_rows
from seed_demo.floor import Floor
from seed_demo.present import Present
from seed_demo.world import World

DAY = 86_400
FORGETFUL = "Mill 1, two pallets"
"""Its other pallet lets work go on while a job stays open that was finished long ago."""
BY_PEN, MILL = "FG-1120", "Mill 2, two pallets"
"""The part of the lot that was worked on while the program was down, and where."""


class BadDays:
    """What went wrong between floor and books in the last days."""

    def __init__(self, world: World, floor: Floor, present: Present) -> None:
        self.world = world
        self.floor = floor
        self.present = present
        self.lot: Lot | None = None

    def plan(self) -> None:
        """Let one sign-off of the last days be forgotten, and a lot come while the program is down."""
        world = self.world
        world.at(world.end - 3 * DAY, lambda: setattr(self.floor, "forgets_at", FORGETFUL))
        world.at(world.end - DAY, self.release_one_by_pen)

    def release_one_by_pen(self) -> None:
        """Release a lot of which nobody at a station tells the program anything."""
        self.floor.by_pen = True
        self.lot = self.present.order_with_blanks(BY_PEN, 24, days=9, rush=False)
        self.floor.by_pen = False

    def finish(self) -> None:
        """Enter the row that was written by pen yesterday."""
        world, lot = self.world, self.lot
        assert lot is not None  # noqa: S101 - planned above
        operation = lot.operations[1]
        row = PaperRow(
            place="rows-0",
            operation_id=operation.id,
            person_id=world.people["DL"].id,
            begun_at=lot.released_at + timedelta(minutes=10),
            done_at=lot.released_at + timedelta(minutes=95),
            good=operation.waiting - 1,
            scrap=1,
            reason="damaged in handling",
            station_id=next(each.id for each in world.stations if each.name == MILL),
            first_piece=True,
        )
        enter_rows(world.session, replace(world.act("TO"), note="entered from paper"), [row])
