"""The addresses of what is computed; the right of each stands in `scoring.access`."""

from django.urls import path

from . import (
    after,
    against,
    aim,
    calibration,
    coach,
    diamonds,
    doubts,
    family,
    measured,
    practise,
    report,
    season,
    shots,
    story,
)

urlpatterns = [
    path("aim/", aim.AimView.as_view(), name="api-aim"),
    path("aim/leaves/", after.LeavesView.as_view(), name="api-aim-leaves"),
    path("aim/stray/", after.StrayView.as_view(), name="api-aim-stray"),
    path("calibration/", calibration.ClubCalibrationView.as_view(), name="api-calibration"),
    path("coach/", coach.CoachView.as_view(), name="api-coach"),
    path("doubts/", doubts.DoubtsView.as_view(), name="api-doubts"),
    path("diamonds/", diamonds.DiamondsView.as_view(), name="api-diamonds"),
    path(
        "players/<int:pk>/calibration/",
        calibration.PlayerCalibrationView.as_view(),
        name="api-player-calibration",
    ),
    path(
        "tables/<int:pk>/calibration/",
        calibration.TableCalibrationView.as_view(),
        name="api-table-calibration",
    ),
    path("tables/<int:pk>/measured/", measured.MeasuredView.as_view(), name="api-table-measured"),
    path("matches/<int:pk>/story/", story.StoryView.as_view(), name="api-match-story"),
    path("players/<int:pk>/against/<int:other>/", against.AgainstView.as_view(), name="api-player-against"),
    path("players/<int:pk>/families/<slug:family>/", family.FamilyView.as_view(), name="api-player-family"),
    path("players/<int:pk>/practise/", practise.PractiseView.as_view(), name="api-player-practise"),
    path("players/<int:pk>/report/", report.ReportView.as_view(), name="api-player-report"),
    path("season/", season.SeasonView.as_view(), name="api-season"),
    path("shots/", shots.ShotsView.as_view(), name="api-shots"),
]
