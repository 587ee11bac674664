"""The gate before every page: who asks, and what `scoring.access` says to it."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any, Literal

from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404

from scoring.access import Actor, Forbidden, NotVisible, access_address, access_match, actor_of
from scoring.models import Match

View = Callable[..., HttpResponse]


def page(view: View) -> View:
    """Wrap `view(request, actor, **kwargs)`: the address is judged, refusals become answers.

    Somebody whom the site does not know is sent to sign in; what may not be known is 404.
    """

    @wraps(view)
    def gated(request: HttpRequest, **kwargs: Any) -> HttpResponse:
        actor = actor_of(request)
        try:
            name = request.resolver_match.view_name if request.resolver_match else None
            access_address(actor, name, request.method or "GET")
            return view(request, actor, **kwargs)
        except Forbidden:
            if actor.unknown:
                return redirect_to_login(request.get_full_path())
            raise PermissionDenied from None
        except NotVisible:
            raise Http404 from None

    return gated


def match_or_404(actor: Actor, pk: int, right: Literal["read", "write", "correct"] = "read") -> Match:
    """Return a match with what its pages show, once `actor` may have it."""
    match = get_object_or_404(
        Match.objects.shown().select_related("club").prefetch_related("colour_projections"), pk=pk
    )
    access_match(actor, match, right)
    return match


def may(actor: Actor, name: str, method: str = "GET") -> bool:
    """Whether the address lets `actor` in before any object is looked at: what a page offers."""
    try:
        access_address(actor, name, method)
    except Forbidden:
        return False
    return True
