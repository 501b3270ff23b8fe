"""Vendors, purchases of blanks, receipts and issues."""
