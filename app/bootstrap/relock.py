"""Writes the locks anew from pyproject.toml: ``.venv/bin/python -m app.bootstrap.relock`` (needs ``uv``)."""

import subprocess
import sys

from app.bootstrap import FAST, FOR_TESTS, LOCKS, OPTIONAL, REQUIRED, ROOT

EXTRAS = {
    REQUIRED: (),
    OPTIONAL: ("files", "photo", "postgres"),
    FOR_TESTS: ("files", "photo", "postgres", "test"),
    FAST: ("fast",),  # last: it takes the versions that the others have
}
BUILD = ROOT / "app" / "bootstrap" / "locks" / "build.in"


def main() -> None:
    """Compile each lock for all platforms, with hashes and without the registry's address."""
    LOCKS.mkdir(exist_ok=True)
    for name, extras in EXTRAS.items():
        command = [
            sys.executable,
            "-m",
            "uv",
            "pip",
            "compile",
            "--universal",
            "--generate-hashes",
            "--no-emit-index-url",
        ]
        command += ["--no-header", "--quiet", "--python-version", "3.11", str(ROOT / "pyproject.toml"), str(BUILD)]
        command += [argument for extra in extras for argument in ("--extra", extra)]
        if name == FAST:
            command += ["--constraint", str(LOCKS / f"{FOR_TESTS}.txt")]
        command += ["--output-file", str(LOCKS / f"{name}.txt")]
        subprocess.run(command, check=True, cwd=ROOT)


if __name__ == "__main__":
    main()
