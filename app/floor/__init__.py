"""The station pages: scans, sign-offs and everything done at a machine."""
