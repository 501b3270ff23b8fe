"""Pages of the trace area."""

from app.trace.views import answers, papers  # noqa: F401 - they register their routes on bp
from app.trace.views.blueprint import bp

__all__ = ["bp"]
