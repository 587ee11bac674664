"""How many pages with computing in them a visitor whom the site does not know may open."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from rest_framework.request import Request

from scoring.access import Actor
from scoring.api.limits import VisitorLimit

View = Callable[..., HttpResponse]


def limited(limit: type[VisitorLimit]) -> Callable[[View], View]:
    """Wrap `view(request, actor)`, inside `page`: past the limit of its API a visitor is asked to wait."""

    def wrap(view: View) -> View:
        @wraps(view)
        def counted(request: HttpRequest, actor: Actor, **kwargs: Any) -> HttpResponse:
            held = limit()
            # A request without a way to sign in is a visitor's; the others are never held up.
            if not actor.unknown or held.allow_request(Request(request), None):  # type: ignore[arg-type]
                return view(request, actor, **kwargs)
            seconds = max(int(held.wait() or 1), 1)
            answer = render(request, "analytics/wait.html", {"seconds": seconds}, status=429)
            answer["Retry-After"] = str(seconds)
            return answer

        return counted

    return wrap
