"""What is offered to those who keep the club."""

from __future__ import annotations

from django.urls import reverse
from django.utils.translation import gettext

from scoring.access import Actor

from .gate import may


def desk_of(actor: Actor) -> list[tuple[str, str]]:
    """Return (address, word) of the pages at which `actor` may change something of the club."""
    offered = (
        ("people", gettext("People"), may(actor, "people")),
        ("competitions", gettext("Competitions"), may(actor, "competition-new")),
        ("tables", gettext("Tables"), may(actor, "table-new")),
        ("imports", gettext("Bringing lists in"), may(actor, "imports")),
        ("players-merge", gettext("Two records of one player"), may(actor, "players-merge")),
        ("club-archive", gettext("The club as one file"), may(actor, "club-archive")),
        ("regulations", gettext("Regulations"), may(actor, "rule-set-new")),
        ("predictions", gettext("Predictions"), may(actor, "predictions")),
    )
    return [(reverse(name), word) for name, word, allowed in offered if allowed]
