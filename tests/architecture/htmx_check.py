"""Runs htmx's own check for earlier syntax over our templates: ``python -m tests.architecture.htmx_check``."""

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
CHECKER = ROOT / "static" / "vendor" / "htmx-4.0.1" / "upgrade-check.py"


def main() -> int:
    """Print what the check finds; 1 where it finds anything, 0 otherwise."""
    command = [sys.executable, str(CHECKER), str(ROOT / "templates"), str(ROOT / "static" / "js")]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    found = "Found 0 issue(s)" not in done.stdout + done.stderr or done.returncode != 0
    sys.stdout.write(done.stdout + done.stderr if found else "no syntax of earlier versions\n")
    return int(found)


if __name__ == "__main__":
    sys.exit(main())
