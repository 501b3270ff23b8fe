"""A bar in the terminal for what takes longer than a second."""

import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager

import click

from app.shared.progress import Progress

PATIENCE_S = 1.0
"""What is done sooner shows no bar."""


@contextmanager
def shown_progress(label: str, *, patience: float = PATIENCE_S) -> Iterator[Progress]:
    """Give a function that draws a bar on standard error once ``patience`` seconds have passed.

    Standard output stays free for what a script reads.
    """
    began = time.monotonic()
    with click.progressbar(length=1, label=label, hidden=True, file=sys.stderr) as bar:

        def show(done: int, total: int) -> None:
            bar.hidden = time.monotonic() - began < patience
            bar.length = max(total, 1)
            bar.update(done - bar.pos)

        yield show
