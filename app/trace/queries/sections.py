"""The lists of a trace: each is one statement, newest first, and goes on behind the row it ended with."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from sqlalchemy import orm

from app.trace.queries.asking import Chosen, Question
from app.trace.queries.lines import Line
from app.trace.queries.making import (
    nonconformance_line,
    nonconformances,
    reading_line,
    readings,
    work,
    work_line,
)
from app.trace.queries.passing import (
    link_line,
    links,
    lot_line,
    lots,
    receipt_line,
    receipts,
    shipment_line,
    shipments,
)


@dataclass(frozen=True, slots=True)
class Reader:
    """One list of a trace: how its rows are chosen and told, and which fields its table shows."""

    choose: Callable[[Question, int | None, int | None], Chosen]
    tell: Callable[[Any], Line]
    columns: tuple[str, ...]

    def read(self, session: orm.Session, asked: Question, after: int | None, most: int | None) -> Iterator[Line]:
        """Read the rows behind ``after``, at most ``most``; one statement."""
        return map(self.tell, session.execute(self.choose(asked, after, most)))


READERS = {
    "lots": Reader(lots, lot_line, ("lot", "part", "what", "pieces", "when", "result")),
    "receipts": Reader(receipts, receipt_line, ("receipt", "heat", "vendor", "when", "what", "part", "lot", "pieces")),
    "links": Reader(links, link_line, ("lot", "part", "what", "pieces", "other_lot", "when", "person", "note")),
    "shipments": Reader(
        shipments, shipment_line, ("shipment", "when", "customer", "order", "part", "lot", "pieces", "note")
    ),
    "readings": Reader(
        readings,
        reading_line,
        *(
            (
                "when",
                "lot",
                "part",
                "operation",
                "what",
                "piece",
                "requirement",
                "result",
                "standing",
                "gauge",
                "station",
                "person",
                "note",
            ),
        ),
    ),
    "nonconformances": Reader(
        nonconformances,
        nonconformance_line,
        ("nonconformance", "when", "lot", "what", "requirement", "result", "pieces", "standing", "person", "note"),
    ),
    "work": Reader(
        work, work_line, ("when", "lot", "part", "operation", "pieces", "result", "station", "person", "note")
    ),
}
"""The lists of a trace, in the order of the page."""
