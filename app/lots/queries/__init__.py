"""Reads of lots, jobs and the ledger."""
