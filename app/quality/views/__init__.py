"""Pages of the quality area."""

from app.quality.views import charts, found_later, gauges, nonconformances, sampling, studies
from app.quality.views.blueprint import bp

__all__ = ["bp", "charts", "found_later", "gauges", "nonconformances", "sampling", "studies"]
