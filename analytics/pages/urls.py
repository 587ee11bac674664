"""Addresses below `pages`; the right of each stands in `scoring.access`."""

from django.urls import URLPattern, URLResolver, path

from . import (
    aim,
    calibration,
    coach,
    diamond_checked,
    diamond_exercise,
    diamonds,
    doubts,
    match_story,
    measured,
    measuring,
    player_against,
    player_family,
    player_practise,
    player_report,
    positions,
    predictions,
    season,
    stroke,
)

urlpatterns: list[URLPattern | URLResolver] = [
    path("aim/", aim.aim, name="aim"),
    path("aim/stroke/", stroke.stroke, name="stroke"),
    path("calibration/", calibration.calibration, name="calibration"),
    path("coach/", coach.coach, name="coach"),
    path("doubts/", doubts.doubts, name="doubts"),
    path("diamonds/", diamonds.diamonds, name="diamonds"),
    path("diamonds/checked/", diamond_checked.checked, name="diamonds-checked"),
    path("diamonds/exercise/", diamond_exercise.diamond_exercise, name="diamond-exercise"),
    path("matches/<int:pk>/positions/", positions.positions, name="match-positions"),
    path("matches/<int:pk>/story/", match_story.match_story, name="match-story"),
    path("players/<int:pk>/against/<int:other>/", player_against.player_against, name="player-against"),
    path("players/<int:pk>/calibration/", calibration.player_calibration, name="player-calibration"),
    path("tables/<int:pk>/calibration/", calibration.table_calibration, name="table-calibration"),
    path("tables/<int:pk>/measure/", measuring.measure, name="table-measure"),
    path("tables/<int:pk>/measured/", measured.measured, name="table-measured"),
    path("tables/<int:pk>/measured/act/", measured.measured_act, name="table-measured-act"),
    path("players/<int:pk>/families/<slug:family>/", player_family.player_family, name="player-family"),
    path("players/<int:pk>/practise/", player_practise.player_practise, name="player-practise"),
    path("players/<int:pk>/report/", player_report.player_report, name="player-report"),
    path("predictions/", predictions.predictions, name="predictions"),
    path("season/", season.season, name="season"),
]
