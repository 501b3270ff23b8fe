"""Commands: ``lotwright --help``. Errors are one plain sentence and exit code 2."""

from collections.abc import Sequence


def main(arguments: Sequence[str] | None = None) -> None:
    """Run one command and exit: 0 when it did what was asked, 1 for findings, 2 for an error.

    The import stands inside because the processes beside the server import this package anew, whose script was started
    by its name, and would load every command before they begin.
    """
    from app.cli.commands import run  # noqa: PLC0415 - see the docstring

    run(arguments)
