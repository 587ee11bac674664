"""The addresses of what is computed; the right of each stands in `scoring.access`."""

from django.urls import path

from . import shots

urlpatterns = [
    path("shots/", shots.ShotsView.as_view(), name="api-shots"),
]
