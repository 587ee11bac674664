"""Where a request came from."""

from django.conf import settings
from django.http import HttpRequest


def client_address(request: HttpRequest) -> str:
    """The visitor's address, as told by the last of our own proxies.

    Without proxies the header is ignored: anyone can write it.
    """
    direct = request.META.get("REMOTE_ADDR", "")
    proxies = settings.PROXIES
    if not proxies:
        return direct
    chain = [part.strip() for part in request.META.get("HTTP_X_FORWARDED_FOR", "").split(",") if part.strip()]
    return chain[-min(proxies, len(chain))] if chain else direct
