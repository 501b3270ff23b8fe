"""The forecast: rows to the core's planning problem and back, computed by the planner process."""
