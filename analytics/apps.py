"""The analytics layer as a Django application."""

from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _


class AnalyticsConfig(AppConfig):
    """What it means."""

    name = "analytics"
    verbose_name = _("Analytics")

    def ready(self) -> None:
        """Let the strokes of a match, and attempts at practice, carry their predictions, and handicaps chances."""
        from analytics.attempt_predictions import shown_beside_attempts
        from analytics.handicap_chances import chances
        from analytics.models import FollowedMatch, FollowedSession, LookedAt, MeasuredSet, Prediction
        from analytics.predictions import shown_beside
        from analytics.spread_fits import do_mark_merged
        from scoring.archive.shapes import register_rows
        from scoring.beside import register_attempt_teller, register_chance_teller, register_teller
        from scoring.merging import register_merging

        register_teller("prediction", shown_beside)
        register_attempt_teller("prediction", shown_beside_attempts)
        register_chance_teller(chances)
        register_merging("spreads", do_mark_merged)
        # Cursors come along, so that a prediction made blind stays the one that was made.
        register_rows(MeasuredSet, LookedAt, Prediction, FollowedMatch, FollowedSession)
