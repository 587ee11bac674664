"""How much a visitor whom the site does not know may have computed."""

from __future__ import annotations

from scoring.api.limits import VisitorLimit


class VisitorShots(VisitorLimit):
    """Strokes tried from one address."""

    scope = "shots"


class VisitorDiamonds(VisitorLimit):
    """Sums of one address."""

    scope = "diamonds"


class VisitorAim(VisitorLimit):
    """Searches of one address."""

    scope = "aim"
