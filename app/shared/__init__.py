"""What every area uses; no word of the trade."""
