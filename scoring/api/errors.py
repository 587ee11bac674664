"""What the API answers when it says no; nothing is half-written."""

from __future__ import annotations

from django.conf import settings
from django.core.exceptions import RequestDataTooBig
from django.utils.translation import gettext
from rest_framework.exceptions import NotAuthenticated, NotFound, PermissionDenied, ValidationError
from rest_framework.views import exception_handler as framework_handler

from scoring.access import Forbidden, NotVisible
from scoring.models import Match, PracticeSession
from scoring.rules.match.checks import Refused
from scoring.rules.said import Malformed

from .exceptions import Conflict, TooLarge


def as_answer(exc: Exception, known: bool) -> Exception:
    """Return the framework's exception for one of ours; `known`: the caller is somebody."""
    if isinstance(exc, Malformed):
        return ValidationError({exc.field: [exc.reason.into(gettext)]})
    if isinstance(exc, Refused):
        return Conflict(exc.code, exc.reason.into(gettext))
    if isinstance(exc, NotVisible | Match.DoesNotExist | PracticeSession.DoesNotExist):
        return NotFound()
    if isinstance(exc, Forbidden):
        return PermissionDenied() if known else NotAuthenticated()
    if isinstance(exc, RequestDataTooBig):
        return TooLarge(
            gettext("The body is too large: send at most %(most)s bytes.")
            % {"most": settings.DATA_UPLOAD_MAX_MEMORY_SIZE}
        )
    return exc


def answer_error(exc: Exception, context):
    """Answer an exception: the framework's handler, after ours were put into its terms."""
    request = context.get("request")
    # Authentication itself may have failed; asking again would fail again.
    user = getattr(request, "_user", None)
    known = getattr(request, "_auth", None) is not None or (user is not None and user.is_authenticated)
    exc = as_answer(exc, known)
    if isinstance(exc, NotAuthenticated):
        exc.auth_header = context["view"].get_authenticate_header(request)  # type: ignore[attr-defined]
    answer = framework_handler(exc, context)
    if answer is not None:
        answer.data = _sendable(answer.data)
    return answer


def _sendable(detail):
    """Return what an answer says with every sign that cannot be sent replaced.

    The framework quotes what was sent, half a surrogate pair included.
    """
    if isinstance(detail, dict):
        return {_sendable(name): _sendable(part) for name, part in detail.items()}
    if isinstance(detail, list | tuple):
        return [_sendable(part) for part in detail]
    return str(detail).encode("utf-8", "replace").decode("utf-8") if isinstance(detail, str) else detail
