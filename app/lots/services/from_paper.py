"""Entering what was written by hand: rows of travelers, checked as a whole, kept as happened then and recorded now."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict, replace
from typing import Any

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.errors import ComponentsMissingError, EntryRefusedError, LedgerError, NothingWrittenError
from app.lots.models import ComponentUse, Lot, LotOperation, Posting, Verb
from app.lots.queries.lots import ledger_of
from app.lots.queries.timeline import Timeline
from app.lots.services.acts import Act, earlier_answer
from app.lots.services.begin import check_can_work, let_go_elsewhere
from app.lots.services.books import lock_operations, write
from app.lots.services.checks import refuse_unfit
from app.lots.services.components import ComponentSource, component_from, use_component
from app.lots.services.paper_rows import Books, PaperRow, Step, Working
from app.lots.services.sign_off import check_components
from app.material.queries import get_receipt
from app.shared.database import transaction
from app.shared.errors import PlainError, Problem, refuse
from app.stations.models import Station


def rows_kept(session: orm.Session, act: Act, content: dict[str, Any]) -> list[Posting]:
    """Return what the form with this key made before of the same content; nothing for a fresh key.

    Raises:
        KeyReusedError: the key was used for something else.
    """
    if earlier_answer(session, replace(act, key=f"{act.key}/1"), None, content) is None:
        return []
    made = Posting.client_key.startswith(f"{act.key}/", autoescape=True)
    return list(session.scalars(sa.select(Posting).where(made).order_by(Posting.id)))


def enter_rows(
    session: orm.Session,
    act: Act,
    rows: Sequence[PaperRow],
    *,
    content: dict[str, Any] | None = None,
    wrong: Iterable[Problem] = (),
) -> list[Posting]:
    """Keep rows of paper, of one lot or several, all or none: each as happened then, by whoever did it, recorded now.

    Args:
        session: the database session.
        act: who records them, when, with the form's key; ``is_estimate`` where nobody knows the times.
        rows: in the order in which they stand on paper.
        content: what was typed, where the rows were worked out from it; the key stands for it.
        wrong: what the caller found wrong already.

    Raises:
        RefusedError: something is wrong; its problems say what, in which row and field. Nothing is kept.
        NothingWrittenError: there is no row.
        KeyReusedError: the key was used for other rows.
    """
    content = content or {"rows": [asdict(row) for row in rows], "estimate": act.is_estimate}
    with transaction(session):
        kept = rows_kept(session, act, content)
        if kept:
            return kept
        refuse(wrong if not rows else ())
        working = _worked_out(session, act, rows)
        refuse([*wrong, *working.problems])
        return _keep(session, act, content, working.steps)


def _worked_out(session: orm.Session, act: Act, rows: Sequence[PaperRow]) -> Working:
    if not rows:
        raise NothingWrittenError
    wanted = list(dict.fromkeys(row.operation_id for row in rows))
    operations = dict(zip(wanted, lock_operations(session, wanted), strict=True))
    lot_ids = dict.fromkeys(operation.lot_id for operation in operations.values())
    books = {lot_id: Books(Timeline(ledger_of(session, lot_id), lot_id)) for lot_id in lot_ids}
    working = Working(books, act.recorded_at)
    working.problems += _on_hold(rows, operations)
    working.work_out([(row, operations[row.operation_id]) for row in rows])
    return working


def _on_hold(rows: Sequence[PaperRow], operations: dict[int, LotOperation]) -> Iterator[Problem]:
    for row in rows:
        try:
            check_can_work(operations[row.operation_id])
        except LedgerError as error:
            yield row.problem("operation", error)


def _keep(session: orm.Session, act: Act, content: dict[str, Any], steps: Sequence[Step]) -> list[Posting]:
    """Write the steps in their order; what only the books themselves can refuse is gathered too."""
    made: list[Posting] = []
    wrong: list[Problem] = []
    for number, step in enumerate(steps, start=1):
        circumstances = _circumstances(act, number, step)
        if step.verb is Verb.BEGIN_RUN:
            station = session.get_one(Station, step.row.station_id)
            let_go_elsewhere(session, circumstances, station, [step.operation])
        if step.verb is Verb.SIGN_OFF:
            wrong += _take_components(session, circumstances, step)
        made.append(write(session, circumstances, step.verb, content, step.moves))
        if step.verb is Verb.SIGN_OFF:
            wrong += _unfit(session, step, made[-1])
    refuse(wrong)
    return made


def _circumstances(act: Act, number: int, step: Step) -> Act:
    return replace(
        act,
        key=f"{act.key}/{number}",
        happened_at=step.when,
        person_id=step.row.person_id,
        recorded_by_id=act.person_id,
        station_id=step.row.station_id,
    )


def _unfit(session: orm.Session, step: Step, posting: Posting) -> Iterator[Problem]:
    """Let later areas refuse pieces that leave an operation as done."""
    try:
        refuse_unfit(session, posting.entries)
    except EntryRefusedError as error:
        yield step.row.problem("good", error)


def _take_components(session: orm.Session, act: Act, step: Step) -> list[Problem]:
    """Use the components of a row's pieces from the lots and receipts that it names; say which are missing."""
    row, operation = step.row, step.operation
    try:
        for part_id, source, pieces in _drawn(session, operation, row):
            key = f"{act.key}/component {part_id} {source.lot_id} {source.receipt_id}"
            use_component(session, replace(act, key=key), operation.id, source, pieces)
    except PlainError as error:
        # The failed use dooms the transaction: nothing more can be found out.
        refuse([row.problem("components", error)])
    try:
        check_components(session, operation, row.good + operation.done)
    except ComponentsMissingError as error:
        return [row.problem("components", error)]
    return []


def _drawn(session: orm.Session, operation: LotOperation, row: PaperRow) -> Iterator[tuple[int, ComponentSource, int]]:
    """Give part, source and pieces of the components that are still missing, drawn from the row's sources in order."""
    sources = [_opened(session, operation, source) for source in row.components]
    used = {
        part_id: int(pieces)
        for part_id, pieces in session.execute(
            sa.select(ComponentUse.part_id, sa.func.sum(ComponentUse.pieces))
            .where(ComponentUse.operation_id == operation.id)
            .group_by(ComponentUse.part_id)
        )
    }
    done = row.good + operation.done
    for component in operation.components:
        missing = done * component.per_piece - used.get(component.part_id, 0)
        for part_id, source, there in sources:
            pieces = min(missing, there) if part_id == component.part_id else 0
            if pieces > 0:
                missing -= pieces
                yield part_id, source, pieces


def _opened(session: orm.Session, operation: LotOperation, source: ComponentSource) -> tuple[int, ComponentSource, int]:
    """Return which part a source holds, and how many pieces.

    Raises:
        NotAComponentError: no component of the operation.
    """
    giver = session.get_one(Lot, source.lot_id) if source.lot_id is not None else None
    part_id = component_from(session, operation, source, giver).part_id
    if giver is not None:
        return part_id, source, giver.in_stock
    return part_id, source, get_receipt(session, source.receipt_id or 0).at_hand
