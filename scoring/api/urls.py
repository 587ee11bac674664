"""The addresses of the API; the right of each stands in `scoring.access`."""

from django.urls import path

from . import competitions, players, rulings, tables, tokens

urlpatterns = [
    path("rulings/", rulings.RulingsView.as_view(), name="api-rulings"),
    path("players/", players.PlayersView.as_view(), name="api-players"),
    path("players/<int:pk>/", players.PlayerView.as_view(), name="api-player"),
    path("tables/", tables.TablesView.as_view(), name="api-tables"),
    path("tables/<int:pk>/", tables.TableView.as_view(), name="api-table"),
    path("competitions/", competitions.CompetitionsView.as_view(), name="api-competitions"),
    path("competitions/<int:pk>/", competitions.CompetitionView.as_view(), name="api-competition"),
    path("tokens/", tokens.TokensView.as_view(), name="api-tokens"),
    path("tokens/<int:pk>/", tokens.TokenView.as_view(), name="api-token"),
]
