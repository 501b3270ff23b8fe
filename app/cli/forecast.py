"""The forecast in the terminal."""

import json
from datetime import datetime

import click

from app.cli.database import opened_session
from app.schedule.queries import forecast_report
from app.shared.clock import utc_now


@click.command()
@click.option("--json", "as_json", is_flag=True, help="Print all open lots as JSON instead of the late ones as text.")
def forecast(as_json: bool) -> None:
    """Compute the forecast now and print the lots that will be late.

    Examples: lotwright forecast; lotwright forecast --json
    """
    with opened_session() as session:
        lots = forecast_report(session, utc_now())
    if as_json:
        click.echo(json.dumps({"lots": lots}, indent=1, default=str))
        return
    late = [lot for lot in lots if lot["late"]]
    for lot in late:
        due, finish = _day_and_time(lot["due"]), _day_and_time(lot["expected_finish"])
        click.echo(f"{lot['lot']}  due {due}  expected {finish}  {'; '.join(lot['reasons'])}")
    click.echo(f"{len(late)} of {len(lots)} open lots are or will be late.")


def _day_and_time(moment: str | None) -> str:
    """Show an ISO 8601 moment, already in the shop's zone, as people write it."""
    if moment is None:
        return "not known"
    there = datetime.fromisoformat(moment)
    return f"{there:%a} {there.day} {there:%b %Y %H:%M}"
