"""What the tests of parts type and save: a small shop's kinds and work centers, and a routing of every sort."""

from dataclasses import dataclass, replace
from decimal import Decimal

from app.parts.models import KindRole, Taking
from app.parts.services import NewOperation
from tests.factories.parts import OperationKindFactory
from tests.factories.stations import WorkCenterFactory


@dataclass(frozen=True)
class Keys:
    """Keys of the kinds and of one work center."""

    blanks: int
    milling: int
    tumbling: int
    anodizing: int
    mills: int


def make_keys() -> Keys:
    return Keys(
        blanks=OperationKindFactory(name="Ordering blanks", role=KindRole.BLANKS).id,
        milling=OperationKindFactory(name="Milling").id,
        tumbling=OperationKindFactory(name="Tumbling").id,
        anodizing=OperationKindFactory(name="Anodizing", role=KindRole.OUTSIDE).id,
        mills=WorkCenterFactory(name="Mills").id,
    )


def blanks(keys: Keys, **other) -> NewOperation:
    return replace(NewOperation(number=10, kind_id=keys.blanks, taking=Taking.LEAD_TIME, lead_days=10), **other)


def milling(keys: Keys, **other) -> NewOperation:
    plain = NewOperation(
        number=20, kind_id=keys.milling, work_center_id=keys.mills, title="Mill", setup_seconds=1800, cycle_ms=90_000
    )
    return replace(plain, **other)


def tumbling(keys: Keys, **other) -> NewOperation:
    plain = NewOperation(
        number=30,
        kind_id=keys.tumbling,
        work_center_id=keys.mills,
        taking=Taking.BATCH,
        cycle_ms=2_400_000,
        load_pieces=60,
        recipe="fine",
    )
    return replace(plain, **other)


def anodizing(keys: Keys, **other) -> NewOperation:
    plain = NewOperation(
        number=40, kind_id=keys.anodizing, taking=Taking.LEAD_TIME, lead_days=7, expected_yield=Decimal("0.99")
    )
    return replace(plain, **other)


def typed_row(keys: Keys, **other: str) -> dict[str, str]:
    """Return one operation as the editor sends it."""
    return {
        "number": "20",
        "kind_id": str(keys.milling),
        "work_center_id": str(keys.mills),
        "title": "Mill",
        "setup_seconds": "30",
        "taking": "single",
        "cycle_ms": "1:30",
        **other,
    }


def typed(*rows: dict[str, str], **other: str) -> dict[str, str]:
    """Return a whole editor as a browser sends it."""
    sent = {f"operations-{at}-{name}": value for at, row in enumerate(rows) for name, value in row.items()}
    return {"base_version": "0", **sent, **other}
