"""The invented shop that ``lotwright demo`` opens."""
