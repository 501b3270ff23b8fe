"""Traceability: what was made from what, where it went and what was measured on it. Reads only."""
