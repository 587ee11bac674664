"""The addresses of what is computed; the right of each stands in `scoring.access`."""

from django.urls import path

from . import after, aim, calibration, diamonds, measured, report, shots

urlpatterns = [
    path("aim/", aim.AimView.as_view(), name="api-aim"),
    path("aim/leaves/", after.LeavesView.as_view(), name="api-aim-leaves"),
    path("aim/stray/", after.StrayView.as_view(), name="api-aim-stray"),
    path("calibration/", calibration.ClubCalibrationView.as_view(), name="api-calibration"),
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
    path("players/<int:pk>/report/", report.ReportView.as_view(), name="api-player-report"),
    path("shots/", shots.ShotsView.as_view(), name="api-shots"),
]
