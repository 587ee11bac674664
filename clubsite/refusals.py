"""What is answered outside any view: pages for people, JSON below /api/."""

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.utils.translation import gettext
from django.views import defaults


def _is_api(request: HttpRequest) -> bool:
    return request.path_info.startswith("/api/")


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    if _is_api(request):
        return JsonResponse({"detail": gettext("The request could not be read.")}, status=400)
    return defaults.bad_request(request, exception)


def permission_denied(request: HttpRequest, exception: Exception) -> HttpResponse:
    if _is_api(request):
        return JsonResponse({"detail": gettext("This is not yours to do.")}, status=403)
    return defaults.permission_denied(request, exception)


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    if _is_api(request):
        return JsonResponse({"detail": gettext("There is no such address.")}, status=404)
    return defaults.page_not_found(request, exception)


def server_error(request: HttpRequest) -> HttpResponse:
    if _is_api(request):
        return JsonResponse({"detail": gettext("Something went wrong here; try again.")}, status=500)
    return defaults.server_error(request)
