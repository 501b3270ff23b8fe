"""``python3 seed_demo``: sets itself up, builds the demo shop where there is none, and serves it."""

import sys
from pathlib import Path

sys.path[0] = str(Path(__file__).resolve().parent.parent)

from app.bootstrap import FAST, OPTIONAL, REQUIRED, run_inside

run_inside("seed_demo", [REQUIRED, OPTIONAL, FAST])

from app.cli import main

main(["demo", *sys.argv[1:]])
