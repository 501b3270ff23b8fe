"""What to order, for which lots, and what is overdue."""
