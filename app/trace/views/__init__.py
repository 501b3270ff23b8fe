"""Pages of the trace area."""

from app.trace.views import answers  # noqa: F401 - it registers its routes on bp
from app.trace.views.blueprint import bp

__all__ = ["bp"]
