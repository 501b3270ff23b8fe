"""Sets the program up where there is only Python: makes .venv, installs from a lock with hashes, starts again inside.

Standard library only. ``python3 seed_demo`` and ``python3 tests`` call ``run_inside`` first.
"""

import hashlib
import importlib.util
import json
import os
import subprocess
import sys
import venv
from collections.abc import Sequence
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
HOME = ROOT / ".venv"
LOCKS = Path(__file__).resolve().parent / "locks"
OLDEST = (3, 11)
REQUIRED, OPTIONAL, FAST, FOR_TESTS = "base", "extras", "fast", "test"
"""Names of the locks: what the program needs, what makes it more comfortable, or plan faster, what its tests need."""

_MAY_FAIL = {
    OPTIONAL: "Some optional packages could not be installed; drawings as PDF or photo scanning may be off.",
    FAST: "There is no compiler for this Python: planning works in plain Python, but searches less in the same time.",
}


def run_inside(folder: str, wanted: Sequence[str]) -> None:
    """Return at once inside a prepared .venv; elsewhere prepare it, start ``folder`` inside and exit with its code.

    Args:
        folder: the folder whose ``__main__`` is running, such as ``tests``.
        wanted: the locks it needs.
    """
    if sys.version_info < OLDEST:
        sys.exit(f"Lotwright needs Python {OLDEST[0]}.{OLDEST[1]} or newer; this is {sys.version.split()[0]}.")
    prepare(wanted)
    if Path(sys.prefix).resolve() == HOME.resolve():
        return
    sys.stdout.flush()
    try:
        sys.exit(subprocess.call([str(python()), str(ROOT / folder), *sys.argv[1:]], env=_that_keeps_bytecode()))
    except KeyboardInterrupt:
        sys.exit(130)


def _that_keeps_bytecode() -> dict[str, str]:
    """Return an environment in which Python keeps what it compiles: packages are installed without it.

    Compiling all of them took longer than installing them, and most of it is never asked for.
    """
    return {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}


def python() -> Path:
    """Return the Python of .venv."""
    return HOME / ("Scripts/python.exe" if sys.platform == "win32" else "bin/python")


def prepare(wanted: Sequence[str]) -> None:
    """Make .venv where it is missing and install the locks that are not installed yet."""
    if not python().exists():
        print("Setting up .venv (once) ...", flush=True)
        _make_venv()
    done = _installed()
    for name in wanted:
        if done.get(name) != _fingerprint(name):
            _install(name)
            done[name] = _fingerprint(name)
            _stamp().write_text(json.dumps(done), encoding="utf-8")


def _make_venv() -> None:
    # Debian leaves ensurepip out of python3; pip itself may still be there and can install into .venv from outside.
    own_pip = importlib.util.find_spec("ensurepip") is not None
    if not own_pip and importlib.util.find_spec("pip") is None:
        sys.exit("This Python has neither ensurepip nor pip. On Debian or Ubuntu: sudo apt install python3-venv")
    venv.EnvBuilder(with_pip=own_pip, clear=HOME.exists()).create(HOME)


def _pip(*arguments: str) -> int:
    inside = (HOME / "Lib" / "site-packages" / "pip").exists() or any(HOME.glob("lib/python*/site-packages/pip"))
    command = [str(python()), "-m", "pip"] if inside else [sys.executable, "-m", "pip", "--python", str(python())]
    environment = {**os.environ, "PIP_DISABLE_PIP_VERSION_CHECK": "1", "PIP_NO_INPUT": "1"}
    return subprocess.call([*command, *arguments], env=environment)


def _install(name: str) -> None:
    print(f"Installing {name} packages ...", flush=True)
    failed = _pip("install", "--quiet", "--no-compile", "--require-hashes", "--requirement", str(LOCKS / f"{name}.txt"))
    if failed and name in _MAY_FAIL:
        print(_MAY_FAIL[name])
    elif failed:
        sys.exit("The packages could not be installed; pip says why above. Check the network and start again.")
    if name == REQUIRED and _pip("install", "--quiet", "--no-deps", "--no-build-isolation", "--editable", str(ROOT)):
        sys.exit("Lotwright itself could not be installed into .venv; pip says why above.")


def _stamp() -> Path:
    return HOME / "lotwright-locks.json"


def _installed() -> dict[str, str]:
    try:
        found = json.loads(_stamp().read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return found if isinstance(found, dict) else {}


def _fingerprint(name: str) -> str:
    return hashlib.sha256((LOCKS / f"{name}.txt").read_bytes()).hexdigest()
