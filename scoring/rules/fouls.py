"""Reasons of a foul. Each ends the inning; none takes points away.

World rules of carom billiard, art. 41 (the first eight); wrong ball: a national translation of it.
"""

from __future__ import annotations

from collections.abc import Mapping

from .said import Said, said

FOUL_REASONS: Mapping[str, Said] = {
    "outside": said("a ball left the table"),
    "balls-moving": said("played while the balls were moving"),
    "not-with-tip": said("not played with the tip"),
    "touched": said("a ball was touched"),
    "pushed-through": said("pushed through"),
    "ball-in-contact": said("played into the ball or cushion it lay against"),
    "foot": said("no foot on the floor"),
    "marks": said("marks were made on the table"),
    "wrong-ball": said("the wrong ball was played"),
    "time": said("the time was up"),
    "other": said("another foul"),
}
