"""The keeper: writes paper files and backups at the times the owners chose, for the day this PC is off.

It stands above the assembly because the paper files show what several areas know, rendered by the app's own templates.
"""
