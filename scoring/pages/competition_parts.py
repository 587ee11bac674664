"""The parts of a competition's page: where each of its other pages stands, and who is shown the way.

A part whose address is not there yet, or that outsiders do not see yet, is left out. `to`: "everybody",
who may see the competition; "organisers", who may manage it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

from django.urls import NoReverseMatch, reverse
from django.utils.translation import gettext_lazy as _

from scoring.access import Actor, runs_competition
from scoring.models import Competition, Stage
from scoring.rights import PARTS


@dataclass(frozen=True)
class Part:
    """name: lazily translated. address: the name of a URL that takes the competition's pk. part: of what is
    published, where its own page judges that rather than `PARTS`, because more people than outsiders
    read it. kinds: a competition has such a part if it has a stage of one of them; none: it always has."""

    name: Any
    address: str
    to: Literal["everybody", "organisers"] = "everybody"
    part: str | None = None
    kinds: frozenset[str] = frozenset()


_KIND = Stage.Kind
_GROUPS = frozenset({_KIND.GROUPS, _KIND.ROUND_ROBIN, _KIND.SERIES})
_TEAMS = frozenset({_KIND.LEAGUE})
LISTED = (
    Part(_("Standings"), "competition-standings"),
    Part(_("Schedule"), "competition-schedule"),
    Part(_("Results"), "competition-results"),
    Part(_("Groups"), "competition-groups", kinds=_GROUPS),
    Part(_("Bracket"), "competition-bracket", kinds=frozenset({_KIND.KNOCKOUT})),
    Part(_("Teams"), "competition-teams", part="standings", kinds=_TEAMS),
    Part(_("Prizes"), "competition-prizes"),
    Part(_("Wall screen"), "competition-wall"),
    Part(_("Calls for the room"), "competition-call-list"),
    Part(_("Entrants"), "competition-entrants", "organisers"),
    Part(_("Stages"), "competition-stages", "organisers"),
    Part(_("Draw"), "competition-draw", "organisers"),
    Part(_("The day"), "competition-day", "organisers"),
    Part(_("Season"), "competition-season", "organisers"),
    Part(_("Table links"), "competition-links", "organisers"),
    Part(_("Regulations"), "competition-regulations", "organisers"),
    Part(_("Publication"), "competition-publish", "organisers"),
    Part(_("History"), "competition-history", "organisers"),
    Part(_("Matches as a file"), "competition-export", "organisers"),
    Part(_("Closing"), "competition-close", "organisers"),
)


def address_of(name: str, pk: int) -> str:
    """Return an address, empty where the site has none of that name."""
    try:
        return reverse(name, args=[pk])
    except NoReverseMatch:
        return ""


def parts_of(competition: Competition, actor: Actor) -> dict[str, list[dict[str, Any]]]:
    """Return the ways that `actor` is shown: `everybody` and `organisers`."""
    runs = runs_competition(actor, competition)
    manages = actor.organises(competition.club_id, competition.pk)
    kinds = set(Stage.objects.filter(competition=competition).values_list("kind", flat=True))
    found: dict[str, list[dict[str, Any]]] = {"everybody": [], "organisers": []}
    for one in LISTED:
        shown = PARTS.get(one.address, one.part)
        if (one.to == "organisers" and not manages) or not (
            runs or shown is None or competition.shows(shown)
        ):
            continue
        # Before anything is planned, an organiser is shown every way.
        if one.kinds.isdisjoint(kinds) and one.kinds and (kinds or not manages):
            continue
        url = address_of(one.address, competition.pk)
        if url:
            found[one.to].append({"name": one.name, "url": url})
    return found
