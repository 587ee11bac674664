"""A password that somebody handed over opens one page: that on which it is replaced."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect
from django.utils.translation import gettext

OPEN = frozenset({"password_change", "sign-out", "javascript-catalog", "healthz"})


class HandedOverPassword:
    """Lead whoever signed in with such a password to the page of an own one."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(self, request: HttpRequest, *view: Any) -> HttpResponse | None:
        """Answer in place of the view, or return None."""
        # Without a session there is nobody to ask the database about.
        if settings.SESSION_COOKIE_NAME not in request.COOKIES:
            return None
        name = request.resolver_match.view_name if request.resolver_match else ""
        if name in OPEN or not getattr(request.user, "password_handed_over", False):
            return None
        if request.path_info.startswith("/api/"):
            return JsonResponse({"detail": gettext("Choose a password of your own first.")}, status=403)
        return redirect("password_change")
