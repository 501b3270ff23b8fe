"""What a refusal must carry."""

from collections.abc import Iterator
from contextlib import contextmanager

import pytest

from app.core.quality.errors import BadInputError, Fault


@contextmanager
def refused(fault: Fault, **values: object) -> Iterator[None]:
    """Expect the fault with exactly these values."""
    with pytest.raises(BadInputError) as caught:
        yield
    assert (caught.value.fault, caught.value.values) == (fault, values)
