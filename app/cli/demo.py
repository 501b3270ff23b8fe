"""Building and opening the invented shop."""

from contextlib import nullcontext
from pathlib import Path

import click

from app.cli.serve import serve_until_stopped
from app.config import Config, compiled_folder, load_config, sqlite_url
from app.schedule import planner
from seed_demo.build import build, how_to_sign_in


@click.command()
@click.option("--build-only", is_flag=True, help="Build the shop and stop, without serving it.")
@click.option("--database", type=click.Path(dir_okay=False, path_type=Path), help="File for the demo's database.")
@click.option("--port", default=8080, show_default=True, type=click.IntRange(1, 65535), help="Port to listen on.")
@click.option("--network", is_flag=True, help="Serve the shop's network too.")
def demo(build_only: bool, database: Path | None, port: int, network: bool) -> None:
    """Build the invented shop where there is none yet, serve it, and say how to sign in.

    Examples: lotwright demo; lotwright demo --build-only --database /tmp/demo.sqlite3
    """
    config = load_config()
    file = database or config.data_folder / "demo.sqlite3"
    demo_config = Config(database_url=sqlite_url(file), data_folder=file.resolve().parent, secret_key=config.secret_key)
    if not file.parent.is_dir():
        raise click.ClickException(f"There is no folder {file.parent}. Make it first, or choose another file.")
    if not file.exists():
        with nullcontext() if build_only else planner.compiling_beside(compiled_folder(demo_config.data_folder)):
            build(demo_config)
        click.echo(f"The demo shop is in {file}")
    elif build_only:
        raise click.ClickException(f"{file} exists already. Remove it to build the demo anew.")
    if not build_only:
        click.echo(how_to_sign_in())
        serve_until_stopped(demo_config, network=network, port=port)
