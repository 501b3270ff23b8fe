"""Shipments and packing slips."""
