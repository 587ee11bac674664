"""The scoring layer as a Django application."""

from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _


class ScoringConfig(AppConfig):
    """What happened at the table."""

    name = "scoring"
    verbose_name = _("Scoring")
