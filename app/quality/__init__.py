"""Measuring: gauges, readings, what is decided about bad pieces, and what the readings say."""
