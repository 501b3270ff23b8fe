"""What outlives this PC: paper files and backups, when the owners want them and how old they are."""
