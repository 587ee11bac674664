"""Addresses below `pages`; the right of each stands in `scoring.access`."""

from django.urls import URLPattern, URLResolver, path

from . import matches, players, profile, rulings, score, sheet, spots, starting

urlpatterns: list[URLPattern | URLResolver] = [
    path("matches/", matches.match_list, name="matches"),
    path("matches/new/", starting.match_new, name="match-new"),
    path("matches/<int:pk>/", matches.match, name="match"),
    path("matches/<int:pk>/score/", score.score, name="match-score"),
    path("matches/<int:pk>/sheet/", sheet.sheet, name="match-sheet"),
    path("players/", players.player_list, name="players"),
    path("players/new/", players.player_new, name="player-new"),
    path("players/<int:pk>/", players.player, name="player"),
    path("players/<int:pk>/edit/", players.player_edit, name="player-edit"),
    path("rulings/", rulings.rulings, name="rulings"),
    path("spots/", spots.spots, name="spots"),
    path("you/", profile.profile, name="profile"),
]
