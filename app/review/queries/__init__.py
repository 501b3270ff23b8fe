"""Reads of the morning review and the search."""

from app.review.queries.morning import Review, StationToday, morning
from app.review.queries.search import Found, scanned, search

__all__ = ["Found", "Review", "StationToday", "morning", "scanned", "search"]
