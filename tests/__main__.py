"""``python3 tests`` sets up what tests need and runs them; ``check`` runs lint, types, contracts; ``bench`` measures.

Arguments after ``--`` go to pytest: ``python3 tests -- tests/lots -k split``.
"""

import os
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from importlib import import_module
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[0] = str(ROOT)

from app.bootstrap import FAST, FOR_TESTS, OPTIONAL, REQUIRED, run_inside

CHECKS = {
    "Lint": ["ruff", "check", "."],
    "Format": ["ruff", "format", "--check", "."],
    "Types": ["mypy", "--num-workers", "2"],
    "Import contracts": ["tests.architecture.contracts"],
    "Templates": ["djlint", "templates", "--lint", "--quiet"],
    "htmx 4 syntax": ["tests.architecture.htmx_check"],
}
ON_BOTH = [
    f"tests/{area}"
    for area in (
        *("shared", "people", "stations", "parts", "orders", "material", "lots"),
        *("quality", "schedule", "purchasing", "floor", "shipping", "review", "cli"),
        *("safekeeping", "trace", "keeper"),
    )
]
GROUPS = ("--dist", "loadgroup")
RUNS = {
    "Rules, on SQLite": ["-m", "not browser", "-n", "2", *GROUPS],
    "The same, on PostgreSQL": ["-m", "not browser", "-n", "2", *GROUPS, "--database", "postgresql", *ON_BOTH],
}
WALKED = ("tests/browser", "tests/published")
JOURNEYS = ["-q", "-m", "browser", *WALKED]
SIDE_BY_SIDE = ["-n", "2", "--dist", "worksteal"]  # whoever has walked all of his half takes from the other's
ALONE = ["-n", "0", "--last-failed", "--lfnf", "none"]


def run(title: str, module: str, arguments: Sequence[str]) -> bool:
    """Run a module of .venv and say whether it succeeded."""
    print(f"\n== {title}", flush=True)
    return subprocess.call([sys.executable, "-m", module, *arguments], cwd=ROOT) == 0


def all_tests() -> bool:
    """Run every test there is, on both databases and in a browser; the demo is built once for all of them."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ[import_module("tests.demo_shop").HANDED_ON] = folder  # it needs packages that are there only now
        done = [run(title, "pytest", ["-q", *arguments]) for title, arguments in RUNS.items()]
        return all([*done, journeys()])


def journeys() -> bool:
    """Walk the app in a real browser; what failed is walked once more, alone.

    A browser is many processes that share the machine with whatever else it does, and a stall of one of them fails a
    journey that is right. What is wrong with the app fails both times. The first failure stays printed: look into it.
    """
    with tempfile.TemporaryDirectory() as folder:
        remembered = [*JOURNEYS, "-o", f"cache_dir={folder}"]
        return run("Journeys in a real browser", "pytest", [*remembered, *SIDE_BY_SIDE]) or run(
            "The journeys that failed, once more", "pytest", [*remembered, *ALONE]
        )


def checks() -> bool:
    """Run lint, types and contracts."""
    done = [run(title, module, arguments) for title, (module, *arguments) in CHECKS.items()]
    return all(done)


def benches() -> bool:
    """Run the benches; each prints ratios from one run."""
    files = sorted((ROOT / "tests" / "bench").glob("bench_*.py"))
    done = [run(file.stem, f"tests.bench.{file.stem}", []) for file in files]
    return all(done)


def main(arguments: Sequence[str]) -> int:
    """Do what was asked and return the exit code."""
    os.environ.setdefault("PYTHONPATH", str(ROOT))
    match list(arguments):
        case []:
            done = all_tests()
        case ["check"]:
            done = checks()
        case ["bench"]:
            done = benches()
        case ["--", *rest]:
            done = run("Chosen tests", "pytest", rest)
        case _:
            print(__doc__)
            return 2
    return 0 if done else 1


if __name__ == "__main__":
    run_inside("tests", [REQUIRED, OPTIONAL, FOR_TESTS, FAST])
    sys.exit(main(sys.argv[1:]))
