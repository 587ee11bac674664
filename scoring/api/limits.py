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


class CodeTries(AnonRateThrottle):
    """Codes tried from one address, whoever tries; those that opened a table are given back."""

    scope = "table-codes"

    def get_cache_key(self, request, view):
        return self.cache_format % {"scope": self.scope, "ident": self.get_ident(request)}

    def give_back(self, request) -> None:
        """Forget the try just counted: a hall full of tables stands behind one address."""
        key = self.get_cache_key(request, None)
        self.cache.set(key, self.cache.get(key, [])[1:], self.duration)
