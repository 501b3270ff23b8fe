"""Pages of parts, routings, kinds of operation and files."""

from app.parts.views import control_plan, files, imports, kinds, parts, revisions, routings
from app.parts.views.blueprint import bp

__all__ = ["bp", "control_plan", "files", "imports", "kinds", "parts", "revisions", "routings"]
