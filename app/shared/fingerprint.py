"""A fingerprint of what was asked for, kept beside a client's key: the same key must not stand for something else."""

import hashlib
import json
from typing import Any


def fingerprint(what: str, content: dict[str, Any]) -> str:
    """Return a fingerprint of a verb and what it was asked to do; times of the same act do not belong into it."""
    text = json.dumps([what, content], sort_keys=True, default=str)
    return hashlib.sha256(text.encode()).hexdigest()
