"""The gate before every view of the API."""

from __future__ import annotations

from rest_framework.permissions import BasePermission

from scoring.access import access_address, access_part, actor_of


class ByAddress(BasePermission):
    """Let in whom `scoring.access.ADDRESSES` lets in; an address not listed there is shut."""

    def has_permission(self, request, view) -> bool:
        match = request.resolver_match
        name = match.view_name if match else None
        actor = actor_of(request)
        access_address(actor, name, request.method)
        if match is not None and request.method in ("GET", "HEAD"):
            access_part(actor, name, match.kwargs)
        return True
