"""What may be said of how much: counts first, then an estimate, words last of all."""

from __future__ import annotations

from enum import Enum

from scoring.rules.said import Said, said

# Attempts from which an estimate is shown, and from which words may be.
FOR_ESTIMATE = 20
FOR_WORDS = 100
# Below the first no word of chance is used.
LIKELY = 0.80
VERY_LIKELY = 0.95


class Shown(Enum):
    """What a page shows of a row: its counts, an estimate with its interval, or words as well."""

    COUNTS = "counts"
    ESTIMATE = "estimate"
    WORDS = "words"


def shown(attempts: int, clear: bool = False) -> Shown:
    """Return what so many attempts may show.

    clear : whether the interval stands clear of what it is compared with, and did so among all
    that were looked at. Under 20 attempts counts alone; words from 100.
    """
    if attempts < FOR_ESTIMATE:
        return Shown.COUNTS
    return Shown.WORDS if clear and attempts >= FOR_WORDS else Shown.ESTIMATE


def how_likely(probability: float) -> Said | None:
    """Return the word for a chance: likely from 80 %, very likely over 95 %; None below."""
    if not 0.0 <= probability <= 1.0:
        raise ValueError(probability)
    if probability > VERY_LIKELY:
        return said("very likely")
    return said("likely") if probability >= LIKELY else None
