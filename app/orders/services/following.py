"""Lets later areas keep what they copied from deliveries true, in the same transaction, without being imported here."""

from collections.abc import Callable, Iterable
from typing import TypeAlias

from sqlalchemy import orm

Follower: TypeAlias = Callable[[orm.Session, frozenset[int]], None]

_followers: list[Follower] = []


def follow_deliveries(follower: Follower) -> None:
    """Have ``follower(session, delivery_ids)`` run when deliveries change: due, leaving day, quantity, shipped, rush.

    It runs inside the transaction that changes them, after their rows are flushed; an error in it undoes the change.
    """
    if follower not in _followers:
        _followers.append(follower)


def tell_followers(session: orm.Session, delivery_ids: Iterable[int]) -> None:
    """Run the followers for deliveries that this transaction has changed."""
    session.flush()
    changed = frozenset(delivery_ids)
    if changed:
        for follower in _followers:
            follower(session, changed)
