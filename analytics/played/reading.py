"""A player's matches and strokes as arrays: a row read a match, whatever was played in it."""

from __future__ import annotations

from collections.abc import Collection

import numpy as np
import pandas as pd
from django.db.models import F, Q, QuerySet

from analytics.models import PackedMatch
from analytics.reports.played import MATCH_COLUMNS, Played, no_strokes
from scoring.models import Club, Match, MatchProjection, Player

from .asked import Asked, narrowed, zone_of
from .packing import SHAPE, do_pack, unpacked

_FINISHED = (MatchProjection.Status.OVER, MatchProjection.Status.CONFIRMED)


def ids_of(player: Player | int) -> frozenset[int]:
    """Return the ids under which a player played: the own one, and of those merged into it."""
    pk = player if isinstance(player, int) else player.pk
    return frozenset({pk, *Player.objects.filter(merged_into=pk).values_list("pk", flat=True)})


def read_played(players: Collection[int], asked: Asked, club: Club | None = None) -> Played:
    """Return what a player, whose ids are given, played of what is asked, in order of play.

    Matches that were begun, or decided without play. Two queries, and three for each two hundred
    matches that went on since they were last read.
    """
    club = club or Club.objects.the_first()
    matches = narrowed(asked, club).filter(Q(entrant_a__in=players) | Q(entrant_b__in=players))
    rows = pd.DataFrame.from_records(_match_rows(matches, players), columns=[*_COLUMNS])
    if not len(rows):
        return Played(_shown(rows, club), no_strokes(), np.zeros(0, dtype=np.int64))
    frame = _shown(rows, club)
    # Only who has a colour has strokes.
    written = rows[rows["colour"].notna()]
    packed = _packed(dict(zip(written["match"], written["colour"], strict=True)))
    joined, counts = unpacked([packed.get(pk, b"") for pk in rows["match"]])
    return Played(frame, joined, np.repeat(np.arange(len(rows)), counts))


_COLUMNS = (
    "match",
    "played_at",
    "competition",
    "table",
    "first",
    "second",
    "colour",
    "points",
    "innings",
    "high_run",
    "distance",
    "outcome",
    "counted",
    "status",
)


def _match_rows(matches: QuerySet[Match], players: Collection[int]) -> list[tuple]:
    """Return a row a match that was begun or decided; `first` is the player's own id."""
    sides = matches.filter(colour_projections__player__in=players, played_at__isnull=False)
    side = "colour_projections__"
    rows = sides.order_by("played_at", "pk").values_list(
        "pk",
        "played_at",
        "competition",
        "projection__table",
        side + "player",
        "entrant_a",
        "entrant_b",
        side + "colour",
        side + "points",
        side + "innings",
        side + "high_run",
        side + "distance",
        side + "outcome",
        side + "counted",
        "projection__status",
    )
    return [(*row[:5], row[6] if row[4] == row[5] else row[5], *row[7:]) for row in rows]


def _shown(rows: pd.DataFrame, club: Club) -> pd.DataFrame:
    """Return the rows as reports take them: days of the club, whole numbers, yes and no."""
    frame = rows.rename(columns={"second": "opponent"})
    days = pd.to_datetime(frame["played_at"], utc=True).dt.tz_convert(zone_of(club))
    frame["date"] = days.dt.tz_localize(None).dt.normalize()
    frame["confirmed"] = frame["status"] == MatchProjection.Status.CONFIRMED
    frame["finished"] = frame["status"].isin(_FINISHED)
    for column in ("competition", "table", "distance"):
        frame[column] = frame[column].astype("Int64")
    for column in ("points", "innings", "high_run", "opponent", "match"):
        frame[column] = frame[column].astype("int64")
    frame["counted"] = frame["counted"].astype(bool)
    return frame[[*MATCH_COLUMNS]]


def _packed(colours: dict[int, str]) -> dict[int, bytes]:
    """Return match -> its packed strokes of one colour, packing anew what went on."""
    found = _fresh(colours)
    missing = colours.keys() - found.keys()
    if missing:
        do_pack(missing)
        found |= _fresh({pk: colours[pk] for pk in missing})
    return found


def _fresh(colours: dict[int, str]) -> dict[int, bytes]:
    rows = PackedMatch.objects.filter(
        match__in=colours, seq=F("match__projection__seq"), shape=SHAPE
    ).values_list("match", "colour", "kept", "match__predictions_followed__kept", "strokes")
    return {
        match: strokes
        for match, colour, kept, now, strokes in rows
        if colour == colours[match] and kept == (now or 0)
    }
