"""Pages of the quality area."""

from app.quality.views import gauges, nonconformances
from app.quality.views.blueprint import bp

__all__ = ["bp", "gauges", "nonconformances"]
