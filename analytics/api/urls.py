"""The addresses of what is computed; the right of each stands in `scoring.access`."""

from django.urls import path

from . import diamonds, shots

urlpatterns = [
    path("diamonds/", diamonds.DiamondsView.as_view(), name="api-diamonds"),
    path("shots/", shots.ShotsView.as_view(), name="api-shots"),
]
