"""A plan as a JSON file: what ``schedule run --json`` writes and ``schedule check`` reads.

::

    {"format": "lotwright plan", "version": 1,
     "status": "planned", "makespan": 5400, "weighted_tardiness": 0, "late": 0,
     "lots": [{"lot": "L1", "status": "planned", "finish": 1772469000}],
     "operations": [{"lot": "L1", "index": 0, "station": "M1", "start": 1772463600, "end": 1772469000,
                     "setup_s": 1800, "pieces": 20, "load": 1}]}

``operations`` has one entry for each run; an operation that takes several (batches, splits, pieces that come one after
another) has several. The objects have the fields of the dataclasses below.
"""

import json
from dataclasses import dataclass
from typing import Any, Final

from app.core.planning.reading import BadFileError, object_with, parsed, read_object, write

FORMAT: Final = "lotwright plan"
VERSION: Final = 1
PLANNED: Final = "planned"
PARTLY: Final = "partly planned"


@dataclass(frozen=True, slots=True)
class PlannedRun:
    """One run.

    Attributes:
        lot: key of the lot.
        index: place of the operation in the lot of the problem, from 0.
        station: key of the station; None for lead times and purchases.
        start: when set-up or work begins, or goes on for a job that is under way.
        end: when the last piece is done, or back.
        pieces: pieces in it.
        setup_s: seconds of set-up at its start.
        load: runs with the same number at a station are one shared batch.
        under_way: whether it had begun before ``now``.
    """

    lot: str
    index: int
    station: str | None
    start: int
    end: int
    pieces: int = 1
    setup_s: int = 0
    load: int = 0
    under_way: bool = False


@dataclass(frozen=True, slots=True)
class PlannedLot:
    """What becomes of a lot.

    Attributes:
        lot: its key.
        status: "planned", "held", "no blanks", "no components", "no station", "no open hours" or "bad input".
        finish: when all its pieces are through the last operation; None unless it is planned.
        reason: why it cannot be planned, in a plain sentence.
    """

    lot: str
    status: str
    finish: int | None
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Plan:
    """A whole plan.

    Attributes:
        status: "planned" when every lot is, else "partly planned".
        makespan: seconds from ``now`` to the last finish of a planned lot.
        weighted_tardiness: sum over the planned lots of weight x seconds past due.
        late: number of planned lots that finish after they are due.
        lots: one entry a lot.
        operations: one entry a run.
    """

    status: str
    makespan: int
    weighted_tardiness: int
    late: int
    lots: tuple[PlannedLot, ...]
    operations: tuple[PlannedRun, ...]


def read_plan(text: str) -> Plan:
    """Return the plan that a file holds.

    Raises:
        BadFileError: it is not such a file, or a value in it is wrong; the sentence says where.
    """
    return plan_of(parsed(text))


def plan_of(document: Any) -> Plan:
    """Return the plan in a document as JSON has it.

    Raises:
        BadFileError: a value is wrong.
    """
    names = {"format", "version", "status", "makespan", "weighted_tardiness", "late", "lots", "operations"}
    fields = dict(object_with(document, "", names))
    if fields.pop("format", None) != FORMAT or fields.pop("version", None) != VERSION:
        raise BadFileError("format", f'must be "{FORMAT}" with "version": {VERSION}.')
    plan: Plan = read_object(Plan, fields, "", {})
    return plan


def write_plan(plan: Plan) -> str:
    """Return a plan as the text of a file, one run a line."""
    head: dict[str, Any] = {"format": FORMAT, "version": VERSION, **write(plan, {})}
    lists = {name: head.pop(name) for name in ("lots", "operations")}
    parts = [f"{json.dumps(name)}: {json.dumps(value)}" for name, value in head.items()]
    for name, value in lists.items():
        lines = ",\n".join(json.dumps(each) for each in value)
        parts.append(f'"{name}": [\n{lines}]' if value else f'"{name}": []')
    return "{" + ",\n".join(parts) + "}\n"
