"""Telling whoever waits how far something long has come."""

from collections.abc import Callable

Progress = Callable[[int, int], None]
"""Called now and then with how much is done and how much there is."""


def silent(_done: int, _total: int) -> None:
    """Tell nobody: for callers that nobody watches."""
