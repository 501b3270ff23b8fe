"""All commands, and how one is run."""

import sys
from collections.abc import Sequence

import click

from app.cli.data import backup, upgrade, verify
from app.cli.demo import demo
from app.cli.forecast import forecast
from app.cli.imports import import_group
from app.cli.paper import paper
from app.cli.people import user
from app.cli.schedule import schedule
from app.cli.serve import serve
from app.shared.errors import PlainError


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="lotwright", prog_name="Lotwright")
def commands() -> None:
    """Lotwright: orders, travelers, stations, forecast and morning review for a small machine shop.

    The data lies in your user's data folder; LOTWRIGHT_DATA chooses another folder and LOTWRIGHT_DATABASE_URL
    another database.
    """


for command in (serve, demo, upgrade, backup, verify, paper, forecast, schedule, import_group, user):
    commands.add_command(command)


def run(arguments: Sequence[str] | None = None) -> None:
    """Run one command and exit: 0 when it did what was asked, 1 for findings, 2 for an error."""
    try:
        code = commands.main(args=arguments, prog_name="lotwright", standalone_mode=False)
    except click.exceptions.Abort:
        click.echo("Stopped.", err=True)
        sys.exit(2)
    except click.ClickException as error:
        error.show()
        sys.exit(2)
    except PlainError as error:
        click.echo(f"Error: {error}", err=True)
        sys.exit(2)
    sys.exit(code if isinstance(code, int) else 0)
