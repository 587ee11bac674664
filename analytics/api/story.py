"""A match's story: the figures of its page as JSON."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from django.shortcuts import get_object_or_404
from drf_spectacular.utils import extend_schema
from rest_framework import serializers

from analytics.known import Known
from analytics.match_story import MISSING, MatchStory, read_story
from analytics.reports.common import Interval
from analytics.reports.forecasts import Forecast
from analytics.reports.story_parts import Furthest, Place, Spell, Step
from scoring.access import access_match
from scoring.api.views import ScoringView
from scoring.models import Match
from scoring.pages.words import speak
from scoring.rules.match.colours import COLOURS

# Of which matches of a player the reader may have figures.
KNOWN_OF = ("all", "published", "mutual", "none")


class BlockOut(serializers.Serializer):
    """A set, a match without sets, or its extra innings: runs of the first and the second player."""

    extra = serializers.BooleanField()
    starter = serializers.IntegerField(help_text="0 or 1, in the order of `players`.")
    runs = serializers.ListField(child=serializers.ListField(child=serializers.IntegerField()))


class PlaceOut(serializers.Serializer):
    """An inning: its set, from 1, and its number within it."""

    set = serializers.IntegerField()
    inning = serializers.IntegerField()
    extra = serializers.BooleanField()


class FurthestOut(serializers.Serializer):
    """Where a player was furthest ahead: by points, or by a share of the distance where those differ."""

    at = PlaceOut()
    ahead = serializers.FloatField()
    shares = serializers.BooleanField()


class SpellOut(serializers.Serializer):
    """Innings of one player without a point, one after another within a set."""

    first = PlaceOut()
    last = PlaceOut()
    innings = serializers.IntegerField()


class TurnOut(serializers.Serializer):
    """The inning that moved the first player's chance most."""

    at = PlaceOut()
    player = serializers.IntegerField(help_text="0 or 1, in the order of `players`.")
    run = serializers.IntegerField()
    before = serializers.FloatField()
    after = serializers.FloatField()


class ChanceOut(serializers.Serializer):
    """A chance to win, a draw as half: its mean, and the range that the averages leave."""

    mean = serializers.FloatField()
    low = serializers.FloatField()
    high = serializers.FloatField()
    level = serializers.FloatField()
    draw = serializers.FloatField()
    plug_in = serializers.FloatField(help_text="Where the averages are taken at their word.")


class KnownOut(serializers.Serializer):
    """On how much the knowledge of a player rests; `of` says which matches the caller may know of.

    Without any, the club's average stands for the player's.
    """

    player = serializers.IntegerField()
    of = serializers.ChoiceField(KNOWN_OF)
    matches = serializers.IntegerField()
    points = serializers.IntegerField()
    innings = serializers.IntegerField()


class BothFurthestOut(serializers.Serializer):
    """Where each was furthest ahead; null where never."""

    white = FurthestOut(allow_null=True)
    yellow = FurthestOut(allow_null=True)


class BothDryOut(serializers.Serializer):
    """The longest spell of each without a point; null where there was none."""

    white = SpellOut(allow_null=True)
    yellow = SpellOut(allow_null=True)


class StoryOut(serializers.Serializer):
    """`players`: who has white, then who has yellow; as entered before the match begins.

    `leads` and `chances` are of the first of them. `leads`: points ahead after each inning of both,
    within its set; where the distances differ, `lead_changes` and `furthest` go by shares of the own
    distance instead. `chances`: before the match and after each inning of both, null where they cannot
    be worked out; `low` and `high` bound them as far as the averages are known. `missing`: what is
    not there, and `words` the whole story in the caller's language.
    """

    match = serializers.IntegerField()
    status = serializers.CharField()
    players = serializers.ListField(child=serializers.IntegerField(), min_length=2, max_length=2)
    distance = serializers.ListField(child=serializers.IntegerField(allow_null=True))
    blocks = BlockOut(many=True)
    leads = serializers.ListField(child=serializers.IntegerField())
    lead_changes = serializers.IntegerField(allow_null=True)
    furthest = BothFurthestOut(allow_null=True)
    dry = BothDryOut(allow_null=True)
    turn = TurnOut(allow_null=True)
    before = ChanceOut(allow_null=True)
    known = KnownOut(many=True)
    distances_taken_for_fair = serializers.BooleanField()
    chances = serializers.ListField(child=serializers.FloatField(), allow_null=True)
    low = serializers.ListField(child=serializers.FloatField(), allow_null=True)
    high = serializers.ListField(child=serializers.FloatField(), allow_null=True)
    missing = serializers.ListField(child=serializers.ChoiceField(MISSING))
    words = serializers.ListField(child=serializers.CharField())


class StoryView(ScoringView):
    """The story of a match: runs, the lead, and the chance to win through it."""

    serializer_class = StoryOut
    queryset = Match.objects.none()
    pagination_class = None
    filterset_class = None

    @extend_schema(operation_id="matches_story", responses=StoryOut)
    def get(self, request, pk: int):
        match = get_object_or_404(Match.objects.shown().select_related("club"), pk=pk)
        access_match(self.actor, match, "read")
        return self.answer(show_story(read_story(match, self.actor)))


def show_story(told: MatchStory) -> dict[str, Any]:
    """Return a story as it is answered."""
    found = told.story
    return {
        "match": told.match.pk,
        "status": told.match.projection.status,
        "players": [player.pk for player in told.players],
        "distance": list(told.rules.distance) if told.rules else [None, None],
        "blocks": [
            {"extra": block.extra, "starter": block.starter, "runs": [list(one) for one in block.runs]}
            for block in told.blocks
        ],
        "leads": list(told.leads),
        "lead_changes": found.changes if found else None,
        "furthest": _of_both([_furthest(one) for one in found.furthest]) if found else None,
        "dry": _of_both([_spell(one) for one in found.dry]) if found else None,
        "turn": _turn(found.turn) if found and found.turn else None,
        "before": show_chance(told.before) if told.before else None,
        "known": [show_known(one) for one in told.known],
        "distances_taken_for_fair": told.unlike,
        "chances": list(found.chances) if found else None,
        "low": list(found.low) if found and found.low else None,
        "high": list(found.high) if found and found.high else None,
        "missing": list(told.missing),
        "words": [speak(one) for one in found.sentences] if found else [],
    }


def show_chance(of: Forecast) -> dict[str, float]:
    """Return a chance as a range."""
    ends: Interval = of.interval
    return {"mean": of.mean, **asdict(ends), "draw": of.chances.draw, "plug_in": of.plug_in}


def show_known(known: Known) -> dict[str, Any]:
    """Return on how much the knowledge of a player rests."""
    return {
        "player": known.player.pk,
        "of": known.of,
        "matches": known.matches,
        "points": known.points,
        "innings": known.innings,
    }


def _place(place: Place) -> dict[str, Any]:
    return {"set": place.set, "inning": place.inning, "extra": place.extra}


def _of_both(each: list[Any]) -> dict[str, Any]:
    return dict(zip(COLOURS, each, strict=True))


def _furthest(one: Furthest | None) -> dict[str, Any] | None:
    if one is None:
        return None
    return {"at": _place(one.place), "ahead": float(one.ahead), "shares": one.shares}


def _spell(one: Spell | None) -> dict[str, Any] | None:
    if one is None:
        return None
    return {"first": _place(one.first), "last": _place(one.last), "innings": one.innings}


def _turn(step: Step) -> dict[str, Any]:
    return {
        "at": _place(step.place),
        "player": step.player,
        "run": step.run,
        "before": step.before,
        "after": step.after,
    }
