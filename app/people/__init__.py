"""People of the shop: their roles, passwords for the office, badges and PINs for the floor."""
