"""What a watchdog asks for."""

from django.db import DatabaseError, connection
from django.http import HttpRequest, JsonResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe


@require_safe
@never_cache
def healthz(request: HttpRequest) -> JsonResponse:
    """200 when the database answers, else 503; says no more than that."""
    try:
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
    except DatabaseError:
        return JsonResponse({"status": "no database"}, status=503)
    return JsonResponse({"status": "ok"})
