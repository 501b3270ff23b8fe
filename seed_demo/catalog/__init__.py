"""The invented parts, a file a customer."""

from seed_demo.catalog import bakery, glasshouses, instruments, looms, marine, shells
from seed_demo.catalog.parts import PartData

PARTS = [
    *glasshouses.PARTS,
    *shells.PARTS,
    *instruments.PARTS,
    *bakery.PARTS,
    *looms.PARTS,
    *marine.PARTS,
]

STUDS = "CK-3121"
FITTED = {"CK-3120": (STUDS, 40, 8), "PT-5020": (STUDS, 40, 4)}
"""Parts that take press studs made here: component, operation number, how many a piece."""

__all__ = ["FITTED", "PARTS", "STUDS", "PartData"]
