"""Loads that lots share: one recipe, one time, within every bound."""

from collections.abc import Iterator

from app.core.plan_check.rows import Case, Load
from app.core.plan_check.violations import Rule, Violation, of_run
from app.core.taking import Batch


def violations(case: Case) -> Iterator[Violation]:
    """Yield what is wrong with batches."""
    for station in case.shop.stations:
        for load in case.loads[station.key]:
            if not load.run.under_way:  # what is in it is what people put in
                yield from _sharing_violations(load)
                yield from _bound_violations(load)


def _sharing_violations(load: Load) -> Iterator[Violation]:
    first, lead = load.run, load.first.operation.taking
    for row in load.rows[1:]:
        run, taking = row.run, row.operation.taking
        if not isinstance(taking, Batch) or not isinstance(lead, Batch):
            yield of_run(Rule.BATCH, run, "only batches are shared")
        elif (taking.recipe, taking.time_ms) != (lead.recipe, lead.time_ms):
            yield of_run(Rule.BATCH, run, f"it has not the recipe of lot {first.lot}")
        if (run.start, run.end, run.under_way) != (first.start, first.end, first.under_way):
            yield of_run(Rule.BATCH, run, f"it does not begin and end with lot {first.lot}")


def _bound_violations(load: Load) -> Iterator[Violation]:
    batches = [(row.run.pieces, row.operation.taking) for row in load.rows]
    found = [(pieces, taking) for pieces, taking in batches if isinstance(taking, Batch)]
    pieces = sum(count for count, _ in found)
    grams = sum(count * taking.piece_weight_g for count, taking in found)
    for _, taking in found:
        if taking.max_pieces is not None and pieces > taking.max_pieces:
            yield of_run(Rule.BATCH_BOUND, load.run, f"{pieces} pieces where {taking.max_pieces} are allowed")
        if taking.max_weight_g is not None and grams > taking.max_weight_g:
            yield of_run(Rule.BATCH_BOUND, load.run, f"{grams} g where {taking.max_weight_g} g are allowed")
