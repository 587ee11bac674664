"""The gate before every view of the API."""

from __future__ import annotations

from rest_framework.permissions import BasePermission

from scoring.access import access_address, actor_of


class ByAddress(BasePermission):
    """Let in whom `scoring.access.ADDRESSES` lets in; an address not listed there is shut."""

    def has_permission(self, request, view) -> bool:
        match = request.resolver_match
        access_address(actor_of(request), match.view_name if match else None, request.method)
        return True
