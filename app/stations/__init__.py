"""The shop, its work centers and stations, and when they are open."""
