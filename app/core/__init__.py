"""The computing core: plain Python on frozen dataclasses, usable alone; no clock, files, web or database."""
