"""Checks the import contracts of pyproject.toml: ``python -m tests.architecture.contracts``."""

import sys

from importlinter import cli

if __name__ == "__main__":
    sys.exit(cli.lint_imports())
