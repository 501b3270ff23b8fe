"""Serving the program to this computer or the shop's network."""

import gc
import socket

import click
import waitress

from app import create_app
from app.cli.database import make_or_check
from app.config import Config, load_config
from app.keeper import process as keeper
from app.schedule import planner

THREADS = 32
KEEPER_WAITS_S = 5.0
"""Nobody waits for it; server and planner, whom people wait for, start meanwhile."""


@click.command()
@click.option(
    "--network", is_flag=True, help="Serve tablets, phones and other computers in the shop, not only this one."
)
@click.option("--port", default=8080, show_default=True, type=click.IntRange(1, 65535), help="Port to listen on.")
def serve(network: bool, port: int) -> None:
    """Serve Lotwright until Ctrl+C.

    Examples: lotwright serve; lotwright serve --network --port 8080
    """
    serve_until_stopped(load_config(), network=network, port=port)


def serve_until_stopped(config: Config, *, network: bool, port: int) -> None:
    """Make or check the database, start the planner and the keeper beside the server, and serve until Ctrl+C."""
    make_or_check(config)
    addresses = own_addresses() if network else []
    refuse_taken_port("0.0.0.0" if network else "127.0.0.1", port)  # noqa: S104 - asked for by --network
    companions = [planner.start(config)]  # before the app is made: both take seconds, and somebody may ask at once
    try:
        app = create_app(config, TRUSTED_HOSTS=trusted_hosts(addresses))
        companions.append(keeper.start(config, after_s=KEEPER_WAITS_S))
        click.echo(f"Lotwright is at http://localhost:{port} (Ctrl+C stops it)")
        for address in addresses:
            click.echo(f"Other devices in the shop: http://{address}:{port}")
        leave_to_stay()
        listen = f"*:{port}" if network else f"127.0.0.1:{port}"
        waitress.serve(app, listen=listen, threads=THREADS, ident=None, max_request_body_size=40 * 1024 * 1024)
    except KeyboardInterrupt:
        click.echo("Stopped.")
    finally:
        for companion in companions:
            companion.stop()


def leave_to_stay() -> None:
    """Take what is there before the first request, which stays to the end, out of every later search for garbage.

    It is most of what there is, and searching it through now and then held single requests up.
    """
    gc.collect()
    gc.freeze()


def refuse_taken_port(host: str, port: int) -> None:
    """Refuse a port that another program listens on.

    Raises:
        click.ClickException: it is taken.
    """
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host, port))
        except OSError as error:
            raise click.ClickException(
                f"Port {port} is taken. Is Lotwright running already? Else try --port."
            ) from error


def own_addresses() -> list[str]:
    """Return this computer's name and its addresses in the local network."""
    found = [socket.gethostname()]
    try:
        answers = socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)
    except OSError:
        answers = []
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as outward:
        try:
            # No packet is sent: connecting a datagram socket only chooses the address that would be used.
            outward.connect(("192.0.2.1", 9))
            found.append(outward.getsockname()[0])
        except OSError:
            pass
    found += [str(answer[4][0]) for answer in answers]
    return [each for each in dict.fromkeys(found) if not each.startswith("127.")]


def trusted_hosts(addresses: list[str]) -> list[str]:
    """Return the host names under which requests are answered; any other Host header is refused."""
    return ["localhost", "127.0.0.1", *addresses, *(f"{each}.local" for each in addresses if not each[0].isdigit())]
