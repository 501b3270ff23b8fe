"""What the invented shop measures, with which gauges: a few tight dimensions, some of them on every piece."""

import random
from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal
from typing import Final

import sqlalchemy as sa

from app.core.quality.run_rules import Rule
from app.parts.models import Characteristic, CharacteristicKind, FrequencyKind, PlanPhase
from app.parts.queries import routing_of
from app.parts.services import NewCharacteristic, NewPlanHead, Often, add_characteristic, change_plan_head
from app.quality.models import Condition, Gauge, WhenOverdue
from app.quality.services import (
    NewCalibration,
    NewGauge,
    NewStudy,
    Switched,
    add_gauge,
    change_switches,
    record_calibration,
    record_study,
)
from seed_demo.world import World, local, moment

EVERY_PIECE = Often(FrequencyKind.EVERY_PIECE)
FIRST_AND_LAST = Often(FrequencyKind.FIRST_AND_LAST)
THREE_A_SHIFT = Often(FrequencyKind.TIMES_A_SHIFT, Decimal(3))
STOP: Final = "Stop. Tag the pieces since the last good reading. Call the setup lead."


def each(step: int) -> Often:
    """Return the frequency 'the first piece and every so many after it'."""
    return Often(FrequencyKind.EVERY_NTH, Decimal(step))


@dataclass(frozen=True, slots=True)
class Planned:
    """A characteristic of a demo part and how its process behaves.

    Attributes:
        part: the part's number.
        step: how the title of its operation begins.
        name: what is measured.
        nominal: as the drawing writes it; empty for yes or no.
        minus: lower deviation; empty: the lower limit is open.
        plus: upper deviation.
        gauge: the kind of gauge.
        checked: how often it is checked.
        recorded: how often it is recorded.
        scatter: standard deviation in half tolerances.
        wear: half tolerances that the tool wears in the course of a lot.
        mark: the customer's sign.
        first_piece: the first piece must pass.
    """

    part: str
    step: str
    name: str
    nominal: str = ""
    minus: str = ""
    plus: str = ""
    gauge: str = ""
    checked: Often = EVERY_PIECE
    recorded: Often = EVERY_PIECE
    scatter: float = 0.28
    wear: float = 0.0
    mark: str = ""
    first_piece: bool = False

    def to_input(self, number: int, operation: int) -> NewCharacteristic:
        """Return it as the service takes it."""
        nominal = Decimal(self.nominal) if self.nominal else None
        return NewCharacteristic(
            number=number,
            operation_number=operation,
            name=self.name,
            kind=CharacteristicKind.MEASURED if nominal is not None else CharacteristicKind.ATTRIBUTE,
            nominal=nominal,
            lower=nominal + Decimal(self.minus) if nominal is not None and self.minus else None,
            upper=nominal + Decimal(self.plus) if nominal is not None and self.plus else None,
            unit="in",
            gauge_kind=self.gauge,
            special_mark=self.mark,
            reaction_plan=STOP,
            checking=self.checked,
            recording=self.recorded,
            first_piece=self.first_piece,
        )


MICROMETER, BORE, DEPTH, INDICATOR = "Outside micrometer", "Bore gauge", "Depth micrometer", "Dial indicator"
PLANS = (
    Planned(
        "NJ-2030",
        "Turn",
        "Shaft diameter",
        "0.9995",
        "-0.0005",
        "0.0005",
        MICROMETER,
        EVERY_PIECE,
        each(15),
        scatter=0.15,
        wear=0.9,
        mark="KC",
        first_piece=True,
    ),
    Planned("NJ-2001", "Turn", "Register bore", "5.0000", "-0.0000", "0.0012", BORE, EVERY_PIECE, each(5), mark="KC"),
    Planned(
        "NJ-2010",
        "Finish",
        "Pivot bore",
        "1.2500",
        "-0.0004",
        "0.0004",
        BORE,
        EVERY_PIECE,
        each(6),
        mark="KC",
        first_piece=True,
    ),
    Planned("NJ-2010", "Finish", "Flatness of the pad", "0.0000", "", "0.0020", INDICATOR, each(20), FIRST_AND_LAST),
    Planned("PT-5020", "Press", "Stud stand-out", "0.750", "-0.005", "0.005", DEPTH, EVERY_PIECE, THREE_A_SHIFT),
    Planned("PT-5033", "Final", "Through bore", "0.6250", "-0.0005", "0.0010", BORE, EVERY_PIECE, each(4)),
    Planned("PT-5033", "Final", "No burr in the bore", recorded=FIRST_AND_LAST),
)
GAUGES = (
    ("M-02", MICROMETER, "0.00005", 11),
    ("B-01", BORE, "0.00005", 9),
    ("B-04", BORE, "0.0001", 10),
    ("D-03", DEPTH, "0.0005", 8),
    ("I-05", INDICATOR, "0.0001", 7),
)
"""Name, kind, smallest step, months since the last calibration."""
OVERDUE: Final = "M-06"
UNCALIBRATED: Final = "D-07"
STUDIED: Final = "M-02"
SHAFTS, TRIALS = 10, 3


def write_control_plans(world: World) -> None:
    """Write the control plans of the demo's parts."""
    numbers: dict[str, int] = {}
    inspector, now = world.people["IC"], moment(world.now)
    for planned in PLANS:
        revision_id = world.revision_ids[planned.part]
        routing = routing_of(world.session, revision_id)
        assert routing is not None  # noqa: S101 - every demo part has one
        operation = next(one for one in routing.operations if one.title.startswith(planned.step))
        numbers[planned.part] = numbers.get(planned.part, 0) + 1
        new = planned.to_input(numbers[planned.part], operation.number)
        add_characteristic(world.session, revision_id, new, by=inspector, now=now)
        head = NewPlanHead(PlanPhase.PRODUCTION, "Inez Calloway, inspection", world.parts[planned.part].customer)
        change_plan_head(world.session, revision_id, head, by=inspector, now=now)


def list_gauges(world: World) -> None:
    """List the gauges with their calibrations; one is overdue, one was never calibrated."""
    for name, kind, step, months in GAUGES:
        _gauge(world, name, kind, step, months)
    _gauge(world, OVERDUE, MICROMETER, "0.0001", 13)
    _study(world)
    add_gauge(world.session, NewGauge(UNCALIBRATED, DEPTH, "in", Decimal(0), Decimal(6), Decimal("0.001"), "the shop"))


def _gauge(world: World, name: str, kind: str, step: str, months: int) -> None:
    new = NewGauge(name, kind, "in", Decimal(0), Decimal(6), Decimal(step), "the shop", 12, WhenOverdue.BLOCK)
    gauge = add_gauge(world.session, new)
    for age in (months + 12, months):
        made_on = local(world.end).date() - timedelta(days=round(30.4 * age))
        certificate = f"WB-{gauge.id}{age:02}"
        new_one = NewCalibration(made_on, Condition.GOOD, Condition.GOOD, "Wren Bay Calibration", certificate)
        record_calibration(world.session, world.act("IC"), gauge.id, new_one)


def _study(world: World) -> None:
    """Let three people measure ten shafts three times each with one micrometer; studies are switched on for it."""
    gauge_id = world.session.scalars(sa.select(Gauge.id).where(Gauge.name == STUDIED)).one()
    shaft = world.session.scalars(sa.select(Characteristic.id).where(Characteristic.name == "Shaft diameter")).first()
    rng = random.Random(13)
    sizes = [0.9995 + rng.gauss(0, 0.00022) for _ in range(SHAFTS)]
    lines = [
        f"{who} {part} " + " ".join(_stepped(size + leans + rng.gauss(0, 0.00003)) for _ in range(TRIALS))
        for who, leans in (("Inez", 0.0), ("Dov", 0.00002), ("Marisol", -0.00001))
        for part, size in enumerate(sizes, start=1)
    ]
    note = "shafts of three lots, numbered and mixed"
    record_study(world.session, world.act("IC"), gauge_id, NewStudy("\n".join(lines), shaft, note))
    change_switches(world.session, Switched(studies=True, sampling=False, moving_averages=False, rules=tuple(Rule)))


def _stepped(size: float) -> str:
    """Return a size as the micrometer shows it, in steps of 0.00005 in."""
    return str(round(Decimal(round(size * 20_000)) / 20_000, 5))
