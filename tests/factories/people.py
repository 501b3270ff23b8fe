"""Invented people."""

import factory

from app.core.scan_code import CodeKind, next_number
from app.people.models import Person, PersonRole, Role
from tests.factories.base import ModelFactory


class PersonFactory(ModelFactory):
    class Meta:
        model = Person

    class Params:
        roles = (Role.OPERATOR,)

    name = factory.Sequence(lambda n: f"Person {n}")
    initials = factory.Sequence(lambda n: f"P{n % 1000}")  # four characters; never a thousand people in one test
    badge_number = factory.Sequence(lambda n: next_number(CodeKind.BADGE, 100_000 + 2 * n))
    role_rows = factory.LazyAttribute(lambda made: [PersonRole(role=role) for role in made.roles])
