"""Pages of parts, routings, kinds of operation and files."""

from app.parts.views import files, imports, kinds, parts, revisions, routings
from app.parts.views.blueprint import bp

__all__ = ["bp", "files", "imports", "kinds", "parts", "revisions", "routings"]
