"""Lots, the piece ledger and the traveler."""
