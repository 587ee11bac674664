"""How much a visitor whom the site does not know may ask for."""

from __future__ import annotations

from rest_framework.throttling import AnonRateThrottle


class VisitorLimit(AnonRateThrottle):
    """A limit of one address; signed-in people and devices at a table are never held up."""

    def get_cache_key(self, request, view):
        # A device at a table has a token and no user.
        return None if request.auth is not None else super().get_cache_key(request, view)


class VisitorRulings(VisitorLimit):
    """Rulings of one address."""

    scope = "rulings"
