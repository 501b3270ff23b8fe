"""``python -m app.cli`` is ``lotwright``."""

from app.cli import main

main()
