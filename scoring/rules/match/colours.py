"""The two sides of a match, by the ball they play with."""

from __future__ import annotations

WHITE = "white"
YELLOW = "yellow"
COLOURS = (WHITE, YELLOW)

Colour = str


def other(colour: Colour) -> Colour:
    """Return the opponent's colour."""
    return YELLOW if colour == WHITE else WHITE


def each(value: int | bool) -> dict[Colour, int]:
    """Return a fresh `{white: value, yellow: value}`."""
    return {WHITE: value, YELLOW: value}
