"""The replications compiled by numba, where it is installed, together with the decoder that they run."""

from functools import cache
from pathlib import Path
from typing import Final

from app.core.chances.simulation import Replayer
from app.core.planning.compiled import compiled_kernels, engine_of

MODULES: Final = tuple(f"app.core.chances.kernels.{name}" for name in ("generator", "drawing", "mishaps", "replaying"))

CALLED: Final = ("replay", "draw_all")
"""Those of their kernels that Python calls."""


@cache
def replayer(cache_folder: Path | None = None) -> Replayer | None:
    """Return the compiled replications, or None where numba is not installed; see ``planning.compiled.engine``."""
    kernels = compiled_kernels(cache_folder, MODULES, CALLED)
    if kernels is None:
        return None
    return Replayer(engine_of(kernels), *(kernels.functions[name] for name in CALLED))
