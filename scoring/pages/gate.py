"""The gate before every page: who asks, and what `scoring.access` says to it."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any, Literal

from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404

from scoring.access import Actor, Forbidden, NotVisible, access_address, access_match, access_part, actor_of
from scoring.models import Match, TableLink

View = Callable[..., HttpResponse]

# No row has a greater number, and a database cannot even be asked for one.
LARGEST = 2**63 - 1


def page(view: View) -> View:
    """Wrap `view(request, actor, **kwargs)`: the address is judged, refusals become answers.

    Somebody who is not signed in is sent to sign in; what may not be known is 404.
    """

    @wraps(view)
    def gated(request: HttpRequest, **kwargs: Any) -> HttpResponse:
        actor = actor_of(request)
        actor.link = link_of(request)
        try:
            name = request.resolver_match.view_name if request.resolver_match else None
            access_address(actor, name, request.method or "GET")
            if any(isinstance(key, int) and key > LARGEST for key in kwargs.values()):
                raise NotVisible
            if request.method in ("GET", "HEAD"):
                access_part(actor, name, kwargs)
            return view(request, actor, **kwargs)
        except Forbidden:
            if actor.user is None:
                return redirect_to_login(request.get_full_path())
            raise PermissionDenied from None
        except NotVisible:
            raise Http404 from None

    return gated


# Where a device that was let in at a table keeps the token of its link, for pages: a browser
# that opens a page sends no header. Scripts send the token themselves, as every program does,
# and the API never looks here, so that no foreign page can write in the name of a table.
LINK_COOKIE = "table_link"


def link_of(request: HttpRequest) -> TableLink | None:
    """Return the table link of the device that asks, if it was let in and the link holds."""
    token = request.COOKIES.get(LINK_COOKIE)
    return TableLink.objects.of_token(token) if token else None


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
