"""A family of a player: the figures of its page as JSON."""

from __future__ import annotations

from typing import Any

from django.http import Http404
from django.shortcuts import get_object_or_404
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers

from analytics.family import FamilyReport, Listed, list_strokes, read_family_report, strokes_of
from analytics.pages.positions import addresses
from analytics.played.asked import read_asked
from analytics.report import access_report, read_report
from analytics.reports.one_family import Change, OneFamily, Part, Promised
from analytics.reports.played import FAMILY_NAMES, KINDS, SOURCES, TOLD
from scoring.api.paging import LARGEST_ID, MOST, USUAL, number_from, query_number
from scoring.api.views import ScoringView
from scoring.models import Attempt, Club, Player

from .report import FamilyOut, IntervalOut, RateOut, show_family, show_interval, show_rate


class FamilyPartOut(RateOut):
    """Strokes one after the other, from the first day to the last."""

    first = serializers.DateField()
    last = serializers.DateField()


class FamilyChangeOut(serializers.Serializer):
    """The later half of the strokes against the earlier one; `clear`: enough to say that it changed."""

    earlier = RateOut()
    later = RateOut()
    difference = serializers.FloatField()
    interval = IntervalOut()
    clear = serializers.BooleanField()


class PromisedTenthOut(serializers.Serializer):
    """Strokes promised about `tenth` in 10; `low`, `high`: points that chance gives if promises hold."""

    tenth = serializers.IntegerField()
    strokes = serializers.IntegerField()
    points = serializers.IntegerField()
    expected = serializers.FloatField()
    low = serializers.IntegerField()
    high = serializers.IntegerField()


class FamilyPromisedOut(serializers.Serializer):
    """Strokes promised at one time about one line."""

    kind = serializers.ChoiceField(TOLD[1:])
    source = serializers.ChoiceField(SOURCES[1:])
    strokes = serializers.IntegerField()
    points = serializers.IntegerField()
    expected = serializers.FloatField()
    tenths = PromisedTenthOut(many=True)


class MissedOut(serializers.Serializer):
    """How attempts missed; `unsaid`: nobody said."""

    short = serializers.IntegerField()
    long = serializers.IntegerField()
    thin = serializers.IntegerField()
    thick = serializers.IntegerField()
    unsaid = serializers.IntegerField()


class PractisedOut(serializers.Serializer):
    """Attempts at practice that stand; in no figure of matches."""

    tried = serializers.IntegerField()
    made = serializers.IntegerField()
    missed = MissedOut()


class FamilyStrokeOut(serializers.Serializer):
    """A stroke; `promised` is null where nothing was. `aim`: the aim page with its layout."""

    match = serializers.IntegerField()
    place = serializers.IntegerField()
    date = serializers.DateField()
    opponent = serializers.IntegerField()
    inning = serializers.IntegerField()
    outcome = serializers.ChoiceField([kind for kind in KINDS if kind != "inning"])
    promised = serializers.FloatField(allow_null=True)
    kind = serializers.ChoiceField(TOLD[1:], allow_null=True)
    source = serializers.ChoiceField(SOURCES[1:], allow_null=True)
    aim = serializers.CharField(allow_null=True)


class PlayerFamilyOut(serializers.Serializer):
    """A family of a player's report. `figures` is null where it was never tried.

    `practised` is null for whom the player's practice is not open to. `strokes`: the latest first;
    `more`: how many come after these.
    """

    player = serializers.IntegerField()
    discipline = serializers.CharField()
    asked = serializers.DictField(child=serializers.CharField())
    computed_at = serializers.DateTimeField()
    family = serializers.CharField()
    rates_withheld = serializers.BooleanField()
    figures = FamilyOut(allow_null=True)
    parts = FamilyPartOut(many=True)
    change = FamilyChangeOut(allow_null=True)
    promised = FamilyPromisedOut(many=True)
    practised = PractisedOut(allow_null=True)
    strokes = FamilyStrokeOut(many=True)
    more = serializers.IntegerField()


class FamilyView(ScoringView):
    """One family of a player: through time, promises, misses at practice, stroke by stroke."""

    serializer_class = PlayerFamilyOut
    queryset = Player.objects.none()
    pagination_class = None
    filterset_class = None

    @extend_schema(
        operation_id="players_family",
        parameters=[
            OpenApiParameter("family", OpenApiTypes.STR, OpenApiParameter.PATH, enum=FAMILY_NAMES),
            OpenApiParameter(
                "discipline", OpenApiTypes.STR, description="By default the one that was played most."
            ),
            OpenApiParameter("since", OpenApiTypes.DATE, description="The first day, included."),
            OpenApiParameter("until", OpenApiTypes.DATE, description="The last day, included."),
            OpenApiParameter("competition", OpenApiTypes.INT),
            OpenApiParameter("table", OpenApiTypes.INT),
            OpenApiParameter("opponent", OpenApiTypes.INT),
            number_from("limit", 1, MOST),
            number_from("past"),
        ],
        responses=PlayerFamilyOut,
    )
    def get(self, request, pk: int, family: str):
        player = get_object_or_404(Player, pk=pk)
        club = Club.objects.the_first()
        access_report(self.actor, player, read_asked({}, club))
        if family not in FAMILY_NAMES:
            raise Http404
        asked = access_report(self.actor, player, read_asked(request.query_params, club))
        most = query_number(request, "limit", USUAL, 1, MOST) or USUAL
        past = query_number(request, "past", 0, 0, LARGEST_ID) or 0
        found = read_family_report(self.actor, read_report(player, asked, club), family, club)
        strokes = list_strokes(self.actor, found, past, most)
        return self.answer(_shown(found, strokes, max(0, strokes_of(found) - past - len(strokes))))


def _shown(found: FamilyReport, strokes: list[Listed], more: int) -> dict[str, Any]:
    of, report, withheld = found.of, found.report, found.report.trying.families.withheld
    return {
        "player": report.player.pk,
        "discipline": report.asked.discipline,
        "asked": report.asked.to_query(),
        "computed_at": report.computed_at,
        "family": found.family,
        "rates_withheld": withheld,
        "figures": show_family(found.row) if found.row else None,
        "parts": [] if withheld else [_part(part) for part in of.parts],
        "change": _change(of.change) if of.change and not withheld else None,
        "promised": _promised(of),
        "practised": _practised(found),
        "strokes": [_stroke(one) for one in strokes],
        "more": more,
    }


def _part(part: Part) -> dict[str, Any]:
    return {"first": part.first, "last": part.last, **show_rate(part.rate)}


def _change(change: Change) -> dict[str, Any]:
    return {
        "earlier": show_rate(change.earlier),
        "later": show_rate(change.later),
        "difference": change.difference,
        "interval": show_interval(change.interval),
        "clear": change.clear,
    }


def _promised(of: OneFamily) -> list[dict[str, Any]]:
    return [_told(one) for one in of.promised]


def _told(one: Promised) -> dict[str, Any]:
    return {
        "kind": one.told,
        "source": one.source,
        "strokes": one.promise.strokes,
        "points": one.promise.points,
        "expected": one.promise.expected,
        "tenths": [
            {
                "tenth": tenth,
                "strokes": row.strokes,
                "points": row.points,
                "expected": row.expected,
                "low": row.central[0],
                "high": row.central[1],
            }
            for tenth, row in one.tenths.items()
        ],
    }


def _practised(found: FamilyReport) -> dict[str, Any] | None:
    known = found.practised
    if known is None:
        return None
    ways = {way: known.how.get(way, 0) for way in Attempt.How.values}
    return {"tried": known.tried, "made": known.made, "missed": ways | {"unsaid": known.unsaid}}


def _stroke(one: Listed) -> dict[str, Any]:
    aim = addresses(one.stroke, one.match)[0] if one.stroke and one.match else ""
    return {
        "match": one.match_id,
        "place": one.place,
        "date": one.date,
        "opponent": one.opponent,
        "inning": one.inning,
        "outcome": one.outcome,
        "promised": one.promised,
        "kind": one.told,
        "source": one.source,
        "aim": aim or None,
    }
