"""The morning review and the search box."""
