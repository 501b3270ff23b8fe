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
BOUGHT = {
    "HW-1216": ("Bronze bushing, 12 mm", "C932 bronze", "1.85"),
    "HW-0620": ("Pinch screw, M6 x 20", "A2 stainless", "0.32"),
}
"""Items that are bought to go into parts: name, material, price."""
TAKES_BOUGHT = {"SW-0470": ("HW-1216", 40, 2), "SW-0410": ("HW-0620", 70, 1)}
"""Parts that take them: component, operation number, how many a piece."""

__all__ = ["BOUGHT", "FITTED", "PARTS", "STUDS", "TAKES_BOUGHT", "PartData"]
