"""The scoring layer as a Django application."""

from typing import Any

from django.apps import AppConfig
from django.apps import apps as registry
from django.db.models.signals import post_migrate
from django.utils.translation import gettext_lazy as _


class ScoringConfig(AppConfig):
    """What happened at the table."""

    name = "scoring"
    verbose_name = _("Scoring")

    def ready(self) -> None:
        """Let every migrated database hold the library of positions, and standings follow the ledgers."""
        from scoring import advancing, encounter_sums, following, merging, summing

        post_migrate.connect(_ship_positions, sender=self, dispatch_uid="scoring.positions")
        # First, because it locks the competition: whoever writes in that one's ledger locks it before the sums.
        following.register_follower("stages", changed=advancing.follow)
        following.register_follower(
            "sums", changed=summing.follow_change, made=summing.follow_making, recorded=summing.follow_entry
        )
        following.register_follower("boards", ended=encounter_sums.follow)
        merging.register_merging("averages", summing.follow_merge)


def _ship_positions(using: str, apps: Any = None, **_about: Any) -> None:
    from django.db import DEFAULT_DB_ALIAS

    try:
        # A database that is emptied, as after a test, tells of no state: it holds all of it.
        (apps or registry).get_model("scoring", "PracticePosition")
    except LookupError:
        return  # migrated to a state before there were any
    if using == DEFAULT_DB_ALIAS:
        from scoring.positions import do_ship_positions

        do_ship_positions()
