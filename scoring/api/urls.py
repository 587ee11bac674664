"""The addresses of the API; the right of each stands in `scoring.access`."""

from django.urls import path

from . import (
    closing,
    competitions,
    entries,
    handicaps,
    match,
    matches,
    players,
    practice,
    practice_attempts,
    practice_coaching,
    practice_positions,
    rulings,
    schedule,
    standings,
    table_links,
    tables,
    tokens,
)

urlpatterns = [
    path("rulings/", rulings.RulingsView.as_view(), name="api-rulings"),
    path("players/", players.PlayersView.as_view(), name="api-players"),
    path("players/<int:pk>/", players.PlayerView.as_view(), name="api-player"),
    path("tables/", tables.TablesView.as_view(), name="api-tables"),
    path("tables/<int:pk>/", tables.TableView.as_view(), name="api-table"),
    path("competitions/", competitions.CompetitionsView.as_view(), name="api-competitions"),
    path("competitions/<int:pk>/", competitions.CompetitionView.as_view(), name="api-competition"),
    path(
        "competitions/<int:pk>/standings/",
        standings.StandingsView.as_view(),
        name="api-competition-standings",
    ),
    path("competitions/<int:pk>/schedule/", schedule.ScheduleView.as_view(), name="api-competition-schedule"),
    path("competitions/<int:pk>/results/", schedule.ResultsView.as_view(), name="api-competition-results"),
    path("competitions/<int:pk>/close/", closing.CloseView.as_view(), name="api-competition-close"),
    path("competitions/<int:pk>/reopen/", closing.ReopenView.as_view(), name="api-competition-reopen"),
    path("competitions/<int:pk>/verify/", closing.VerifyView.as_view(), name="api-competition-verify"),
    path("handicaps/", handicaps.HandicapsView.as_view(), name="api-handicaps"),
    path("handicaps/proposals/", handicaps.ProposalsView.as_view(), name="api-handicap-proposals"),
    path("handicaps/proposals/answer/", handicaps.ProposalsAnswerView.as_view(), name="api-handicap-answer"),
    path("table-links/", table_links.TableLinksView.as_view(), name="api-table-links"),
    path("table-links/<int:pk>/", table_links.TableLinkView.as_view(), name="api-table-link"),
    path("table-links/enter/", table_links.EnterView.as_view(), name="api-table-link-enter"),
    path("matches/", matches.MatchesView.as_view(), name="api-matches"),
    path("matches/<int:pk>/", match.StateView.as_view(), name="api-match"),
    path("matches/<int:pk>/innings/", match.InningsView.as_view(), name="api-match-innings"),
    path("matches/<int:pk>/entries/", entries.EntriesView.as_view(), name="api-match-entries"),
    path("matches/<int:pk>/entries/preview/", entries.PreviewView.as_view(), name="api-match-preview"),
    path("matches/<int:pk>/pen/", match.PenView.as_view(), name="api-match-pen"),
    path("sessions/", practice.SessionsView.as_view(), name="api-sessions"),
    path("sessions/<int:pk>/", practice.SessionView.as_view(), name="api-session"),
    path(
        "sessions/<int:pk>/attempts/", practice_attempts.AttemptsView.as_view(), name="api-session-attempts"
    ),
    path("positions/", practice_positions.PositionsView.as_view(), name="api-positions"),
    path("positions/<int:pk>/", practice_positions.PositionView.as_view(), name="api-position"),
    path("coaching/", practice_coaching.CoachingsView.as_view(), name="api-coachings"),
    path("coaching/<int:pk>/agree/", practice_coaching.AgreeView.as_view(), name="api-coaching-agree"),
    path(
        "coaching/<int:pk>/withdraw/", practice_coaching.WithdrawView.as_view(), name="api-coaching-withdraw"
    ),
    path("assignments/", practice_coaching.AssignmentsView.as_view(), name="api-assignments"),
    path("tokens/", tokens.TokensView.as_view(), name="api-tokens"),
    path("tokens/<int:pk>/", tokens.TokenView.as_view(), name="api-token"),
]
