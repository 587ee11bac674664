"""Addresses below `pages`; the right of each stands in `scoring.access`."""

from django.urls import URLPattern, URLResolver, path

from . import aim, diamonds, positions, predictions, stroke

urlpatterns: list[URLPattern | URLResolver] = [
    path("aim/", aim.aim, name="aim"),
    path("aim/stroke/", stroke.stroke, name="stroke"),
    path("diamonds/", diamonds.diamonds, name="diamonds"),
    path("matches/<int:pk>/positions/", positions.positions, name="match-positions"),
    path("predictions/", predictions.predictions, name="predictions"),
]
