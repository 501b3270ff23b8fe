"""People from the terminal: the way in when nobody can sign in any more."""

import click

from app.cli.database import opened_session
from app.people.models import Role
from app.people.services import NewPerson, add_person


@click.group()
def user() -> None:
    """People who may sign in."""


@user.command("add")
@click.argument("name")
@click.option("--initials", required=True, help="One to four letters, as on paper travelers.")
@click.option(
    "--role",
    "roles",
    multiple=True,
    type=click.Choice([role.value for role in Role]),
    default=[Role.OPERATOR.value],
    show_default=True,
    help="May be given several times.",
)
@click.password_option(help="Password for the office; asked for when left out.")
def add(name: str, initials: str, roles: tuple[str, ...], password: str) -> None:
    """Add a person.

    Example: lotwright user add "Ada Vale" --initials AV --role owner
    """
    chosen = frozenset(Role(role) for role in roles)
    with opened_session(make=True) as session:
        add_person(session, NewPerson(name=name, initials=initials, roles=chosen, password=password))
    click.echo(f"{name} can sign in now.")
