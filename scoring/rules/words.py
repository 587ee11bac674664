"""Names that stand in the data files, marked here so that translators find them."""

from __future__ import annotations

from .said import said

NAMES_IN_DATA = (
    said("Straight rail"),
    said("One-cushion"),
    said("Three-cushion"),
    said("World rules"),
    said("US reading"),
    said("National reading, cushion first allowed at the opening"),
    said("Club evening"),
    said("Club evening, last inning from where the balls lie"),
    said("Championship, groups to 40"),
    said("Championship, knock-out to 50"),
    said("Championship under 22, knock-out to 35"),
    said("Ladies' championship, knock-out to 30"),
    said("To 40, 40 seconds, time-outs called"),
    said("Sets to 15, best of five"),
    said("Handicap, 40 innings"),
    said("No distance, 30 innings"),
    said("30 seconds, time-outs by themselves"),
    said("40 seconds, time-outs called"),
    said("World teams, 40 seconds"),
)
