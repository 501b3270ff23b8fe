"""What of quality this shop wants to see."""

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.quality.run_rules import Rule
from app.shared.database import Model, PrimaryKey


class QualitySwitches(Model):
    """The one row of switches: what a small shop rarely needs stays off the pages until it is switched on."""

    __tablename__ = "quality_switches"
    __table_args__ = (sa.CheckConstraint("id = 1", name="one_row"),)

    id: orm.Mapped[PrimaryKey]
    studies: orm.Mapped[bool] = orm.mapped_column(default=False)
    moving_averages: orm.Mapped[bool] = orm.mapped_column(default=False)
    sampling: orm.Mapped[bool] = orm.mapped_column(default=False)
    rules: orm.Mapped[list[str]] = orm.mapped_column(sa.JSON)
    """The run rules that charts look for."""

    @property
    def run_rules(self) -> frozenset[Rule]:
        """Return the run rules that are switched on."""
        return frozenset(Rule(each) for each in self.rules)
