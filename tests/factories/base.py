"""The session in which factories keep what they make, committed at once so that requests see it."""

from collections.abc import Iterator
from contextlib import contextmanager

import factory
from sqlalchemy import orm

_current: list[orm.Session] = []


@contextmanager
def factory_session(session: orm.Session) -> Iterator[None]:
    """Keep what factories make in ``session`` while this lasts."""
    _current.append(session)
    try:
        yield
    finally:
        _current.remove(session)


class ModelFactory(factory.alchemy.SQLAlchemyModelFactory):
    """Base of all factories."""

    class Meta:
        abstract = True
        sqlalchemy_session_factory = lambda: _current[-1]  # noqa: E731 - factory-boy wants a callable here
        sqlalchemy_session_persistence = "commit"
