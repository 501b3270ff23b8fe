"""Paper files in the terminal."""

from pathlib import Path

import click

from app.cli.database import opened
from app.cli.progress import shown_progress
from app.config import ROOT
from app.keeper.file_set import INDEX
from app.keeper.paper import write_paper
from app.shared.clock import utc_now
from app.shared.folders import usable_folder


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
def paper(folder: Path) -> None:
    """Write the review, each station's list and every open traveler into FOLDER, to print or to read on a phone.

    A set that is there already is replaced. Under Stations > Paper files and backup an owner sets when the server does
    this by itself.

    Example: lotwright paper D:/shop-paper
    """
    checked = usable_folder(str(folder.absolute()), checkout=ROOT)
    with opened() as app, shown_progress("Writing paper files") as tell:
        write_paper(app, checked, utc_now(), tell)
    click.echo(f"Paper files written: open {checked / INDEX}")
