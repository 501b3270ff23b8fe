"""Short ways to write down routings for the demo's parts."""

from dataclasses import dataclass, replace
from decimal import Decimal

from app.parts.models import Taking


@dataclass(frozen=True, slots=True)
class Step:
    """One operation of a demo part; times in seconds."""

    kind: str
    work_center: str | None
    title: str
    setup: int = 0
    setup_loss: int = 0
    good: str = "0.995"
    taking: Taking = Taking.SINGLE
    cycle: float = 0
    pieces: int = 1
    load: float = 0
    batch_grams: int = 0
    recipe: str = ""
    lead_days: int = 0
    send_ahead: int = 0
    first_piece: bool = False
    tend: int = 0
    """Percent of one person that it takes while it runs; pallets take at least what loading does."""
    instructions: str = ""
    sketch: str = ""

    @property
    def expected_yield(self) -> Decimal:
        """Return the share of good pieces."""
        return Decimal(self.good)

    def but(self, **changes: object) -> "Step":
        """Return the same step with some things different."""
        return replace(self, **changes)  # type: ignore[arg-type]  # dataclasses.replace checks the names


def blanks(lead_days: int) -> Step:
    """Order the blanks."""
    return Step("Ordering blanks", None, "Order blanks", good="1", taking=Taking.LEAD_TIME, lead_days=lead_days)


def mill(title: str, cycle: float, pieces: int, load: float, setup: int = 2700, **more: object) -> Step:
    """Cut a pallet load of ``pieces`` in ``cycle`` seconds while the next is loaded in ``load`` seconds."""
    step = Step("Milling", "Pallet mills", title, setup, 1, "0.992", Taking.LOAD, cycle, pieces, load, first_piece=True)
    return step.but(**more)


def knee(title: str, cycle: float, setup: int = 1500, **more: object) -> Step:
    """Mill one piece at a time by hand."""
    return Step("Milling", "Knee mills", title, setup, 0, "0.995", cycle=cycle, tend=50).but(**more)


def drill(title: str, cycle: float, setup: int = 900, **more: object) -> Step:
    """Drill or tap one piece at a time."""
    return Step("Drilling", "Drills", title, setup, 0, "0.996", cycle=cycle, tend=33).but(**more)


def turn(title: str, cycle: float, per_bar: int, setup: int = 3600, **more: object) -> Step:
    """Turn from a bar that gives ``per_bar`` pieces."""
    step = Step(
        "Turning", "Bar lathes", title, setup, 2, "0.994", Taking.BAR, cycle, per_bar, 180, first_piece=True, tend=10
    )
    return step.but(**more)


def chuck(title: str, cycle: float, setup: int = 2700, **more: object) -> Step:
    """Turn one chucked piece at a time."""
    return Step("Turning", "Bar lathes", title, setup, 1, "0.993", cycle=cycle, first_piece=True, tend=40).but(**more)


def press(title: str, cycle: float, **more: object) -> Step:
    """Press in studs or bushings one piece at a time, measuring each."""
    text = "Measure the stand-out of every one after pressing. Write down three in each hour."
    return Step("Pressing", "Press", title, 600, 0, "0.997", cycle=cycle, tend=50, instructions=text).but(**more)


def tumble(minutes: int, recipe: str, pieces: int = 400, kilograms: int = 60) -> Step:
    """Tumble a batch bounded by pieces and weight for a fixed time."""
    return Step(
        "Tumbling",
        "Tumbling",
        f"Tumble, {recipe}",
        0,
        0,
        "1",
        Taking.BATCH,
        minutes * 60,
        pieces,
        batch_grams=kilograms * 1000,
        recipe=recipe,
        tend=10,
        instructions="Weigh the load. Separate thin parts with rubber spacers.",
    )


def deburr(cycle: float, title: str = "Deburr by hand", **more: object) -> Step:
    """Break edges by hand."""
    return Step("Deburring", "Deburring", title, 0, 0, "0.999", cycle=cycle, tend=100).but(**more)


def inspect(cycle: float, title: str = "Final inspection") -> Step:
    """Measure and release."""
    # The cycles in the catalog are for one person; the bench has two.
    text = "Tight dimensions on every piece, the others on every fifth; record at start, middle and end."
    return Step("Inspection", "Inspection", title, 300, 0, "0.997", cycle=cycle / 2, tend=33, instructions=text)


def outside(title: str, days: int) -> Step:
    """Send out to somebody else."""
    return Step("Outside process", None, title, good="0.998", taking=Taking.LEAD_TIME, lead_days=days)
