"""A process that works beside the server: started by it, started again when it dies, and ended with it.

It holds one end of a pipe whose other end only its parent has: so it learns of the parent's end however that comes.
"""

import logging
import multiprocessing
import os
import secrets
import signal
import socket
import threading
from collections.abc import Callable
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from typing import Any, Final

LOOK_EVERY_S: Final = 1.0
"""How long a companion waits before it looks for work again."""
START_AGAIN_AFTER_S: Final = 2.0
"""How long its handle waits before it starts one that has died anew."""

log = logging.getLogger(__name__)

Run = Callable[[Any, Connection, str], None]
"""The entry of a companion's own process: its settings, its end of the pipe, and the name it holds leases under."""


class Companion:
    """The parent's handle on a companion process; ``run`` has to be a module's own function, as it is imported anew."""

    def __init__(self, name: str, run: Run, settings: Any, after_s: float) -> None:
        self._name = name
        self._run = run
        self._settings = settings
        self._after_s = after_s
        # The same for one that is started anew: the lease of its dead forerunner is its own.
        self._holder = f"{socket.gethostname()}:{os.getpid()}:{secrets.token_hex(8)}"
        self._spawn = multiprocessing.get_context("spawn")
        self._stopping = threading.Event()
        self._process: BaseProcess | None = None
        self._ours: Connection | None = None
        self._watch = threading.Thread(target=self._keep, name=f"watch over the {name}", daemon=True)

    @property
    def pid(self) -> int | None:
        """Return the number of the process that runs now."""
        return self._process.pid if self._process is not None and self._process.is_alive() else None

    def begin(self) -> None:
        """Start it, after as long as it was told to wait."""
        if not self._after_s:
            self._start_process()
        self._watch.start()

    def stop(self) -> None:
        """End it and wait until it has ended."""
        self._stopping.set()
        self._watch.join()
        if self._ours is not None:
            self._ours.close()
        if self._process is not None:
            self._process.join(10)
            if self._process.is_alive():
                self._process.kill()
                self._process.join()

    def _start_process(self) -> None:
        theirs, self._ours = self._spawn.Pipe(duplex=False)
        arguments = (self._settings, theirs, self._holder)
        # A daemon: the interpreter ends it at its exit, whatever the server forgets.
        process = self._spawn.Process(target=self._run, args=arguments, name=self._name, daemon=True)
        process.start()
        theirs.close()
        self._process = process

    def _keep(self) -> None:
        """Start it again when it dies, until it is to stop."""
        if self._process is None and not self._stopping.wait(self._after_s):
            self._start_process()
        while not self._stopping.wait(START_AGAIN_AFTER_S):
            if self._process is None or self._process.is_alive():
                continue
            log.warning("The %s ended with code %s; it is started again.", self._name, self._process.exitcode)
            if self._ours is not None:
                self._ours.close()
            self._start_process()


def start(name: str, run: Run, settings: Any, *, after_s: float = 0) -> Companion:
    """Start a companion in a process of its own after so many seconds; return its handle: call ``stop`` at the end."""
    companion = Companion(name, run, settings, after_s)
    companion.begin()
    return companion


def prepare(name: str) -> None:
    """Set a companion's own process up: Ctrl-C is the parent's to hear, and every line of its log says whose it is."""
    # Ctrl-C reaches the whole group in a terminal; the parent ends first, and this process with it.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    logging.basicConfig(level=logging.INFO, format=f"%(asctime)s {name} %(levelname)s %(message)s")


def let_others_go_first() -> None:
    """Take what the processes leave that people wait for, on systems where a process can say so of itself."""
    if hasattr(os, "nice"):
        os.nice(10)


def parent_is_gone(parent: Connection, wait_s: float = LOOK_EVERY_S) -> bool:
    """Wait so many seconds; say whether the parent has let go of the pipe meanwhile."""
    try:
        return parent.poll(wait_s)  # nothing is ever sent: what comes is the end
    except OSError:
        return True
