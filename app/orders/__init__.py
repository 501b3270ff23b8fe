"""Customers and what they ordered."""
