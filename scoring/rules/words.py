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
    said("Average × 30"),
    said("Average × 30, at least 25"),
    said("Average × 30 + 2, at least 10"),
    said("One-cushion: two thirds of the distance at straight rail"),
    said("Three-cushion: a third of the distance at one-cushion"),
    said("2 for a win, 1 for a draw"),
    said("Points by percentage, two decimals"),
    said("Points by percentage, whole points"),
    said("10 for a win or a draw, the loser by percentage, more for beating the own average"),
    said("12 for a win, 10 for a draw, the loser by percentage"),
    said("2 for a win, 1 for each tenth of the distance, 1 for a match under 25 innings"),
)
