"""Pages of the schedule area."""

from app.schedule.views import order, plans, questions, remedies
from app.schedule.views.blueprint import bp

__all__ = ["bp", "order", "plans", "questions", "remedies"]
