"""What several players played, or everybody, as arrays: a row read a match and side, whatever was played in it."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from itertools import islice

import numpy as np
import pandas as pd
from django.db.models import F, Q, QuerySet

from analytics.models import PackedMatch
from analytics.reports.played import MATCH_COLUMNS, Played
from scoring.models import Club, Match, MatchProjection

from .asked import Asked, narrowed, zone_of
from .packing import SHAPE, do_pack, unpacked

_FINISHED = (MatchProjection.Status.OVER, MatchProjection.Status.CONFIRMED)
_SIDE = "colour_projections__"
# What is read of a side of a match, under the name that it has in the rows.
_READ = {
    "match": "pk",
    "played_at": "played_at",
    "ended_at": "projection__ended_at",
    "competition": "competition",
    "table": "projection__table",
    "own": f"{_SIDE}player",
    "into": f"{_SIDE}player__merged_into",
    "entrant_a": "entrant_a",
    "entrant_b": "entrant_b",
    "colour": f"{_SIDE}colour",
    "points": f"{_SIDE}points",
    "innings": f"{_SIDE}innings",
    "high_run": f"{_SIDE}high_run",
    "distance": f"{_SIDE}distance",
    "outcome": f"{_SIDE}outcome",
    "counted": f"{_SIDE}counted",
    "status": "projection__status",
}


@dataclass(frozen=True)
class Together:
    """Sides of matches, each player's one after the other in order of play.

    Beside the columns of a player's matches stand `player`, whom the side counts for, and
    `minutes`, from the first entry to the end [min], nan where it is not known. `unread`: matches
    whose strokes are not among these, because they went on since and were too many to read at once.
    """

    played: Played
    unread: int

    @property
    def nothing(self) -> Played:
        """What somebody played who is not among them."""
        whole = self.played
        return Played(whole.matches.iloc[:0], whole.strokes[:0], whole.of[:0])

    def by_player(self) -> dict[int, Played]:
        """Return what each player played, by id; who played nothing is missing."""
        frame, strokes, of = self.played.matches, self.played.strokes, self.played.of
        players = frame["player"].to_numpy()
        if not len(players):
            return {}
        first = np.flatnonzero(np.r_[True, players[1:] != players[:-1]])
        found = {}
        for begin, end in zip(first, np.r_[first[1:], len(players)], strict=True):
            low, high = np.searchsorted(of, [begin, end])
            own = frame.iloc[begin:end].reset_index(drop=True)
            found[int(players[begin])] = Played(own, strokes[low:high], of[low:high] - begin)
        return found


def read_together(
    asked: Asked, club: Club, players: Collection[int] | None = None, packed_at_once: int | None = None
) -> Together:
    """Return what players played of what is asked: matches that were begun, or decided without play.

    players : ids, those merged into somebody among them; None for everybody. Whoever was merged
    into somebody is that somebody. packed_at_once : so many matches that went on since they were
    last read are read anew at most, the latest first; None for all. Two queries, and four for
    each two hundred matches read anew.
    """
    matches = narrowed(asked, club).filter(played_at__isnull=False)
    if players is not None:
        matches = matches.filter(Q(entrant_a__in=players) | Q(entrant_b__in=players))
    sides = _sides(matches, players)
    rows = pd.DataFrame.from_records(sides.values_list(*_READ.values()), columns=[*_READ])
    frame = _shown(rows, club)
    keys = list(zip(frame["match"], frame["colour"], strict=True))
    packed, unread = _packed(matches, {pk for pk, colour in keys if colour is not None}, packed_at_once)
    joined, counts = unpacked([packed.get(key, b"") for key in keys])
    kept = frame[[*MATCH_COLUMNS, "player", "minutes"]]
    return Together(Played(kept, joined, np.repeat(np.arange(len(frame)), counts)), unread)


def _sides(matches: QuerySet[Match], players: Collection[int] | None) -> QuerySet[Match]:
    if players is None:
        return matches.filter(colour_projections__player__isnull=False).order_by()
    return matches.filter(colour_projections__player__in=players).order_by()


def _shown(rows: pd.DataFrame, club: Club) -> pd.DataFrame:
    """Return the rows as reports take them, a player's together and in order of play."""
    own = rows["own"].astype("int64")
    frame = rows.assign(
        player=np.where(rows["into"].isna(), own, rows["into"]).astype("int64"),
        opponent=np.where(own == rows["entrant_a"], rows["entrant_b"], rows["entrant_a"]),
    )
    begun = pd.to_datetime(frame["played_at"], utc=True)
    ended = pd.to_datetime(frame["ended_at"], utc=True)
    frame["minutes"] = (ended - begun).dt.total_seconds() / 60.0
    frame["date"] = begun.dt.tz_convert(zone_of(club)).dt.tz_localize(None).dt.normalize()
    frame["begun"] = begun
    frame["confirmed"] = frame["status"] == MatchProjection.Status.CONFIRMED
    frame["finished"] = frame["status"].isin(_FINISHED)
    for column in ("competition", "table", "distance"):
        frame[column] = frame[column].astype("Int64")
    for column in ("points", "innings", "high_run", "opponent", "match"):
        frame[column] = frame[column].astype("int64")
    frame["counted"] = frame["counted"].astype(bool)
    return frame.sort_values(["player", "begun", "match"], ignore_index=True)


def _packed(
    matches: QuerySet[Match], written: set[int], at_once: int | None
) -> tuple[dict[tuple[int, str], bytes], int]:
    """Return (match, colour) -> packed strokes, and how many matches could not be read yet."""
    found = _fresh(matches.values("pk"))
    missing = sorted(written - {match for match, _colour in found}, reverse=True)
    now = missing if at_once is None else list(islice(missing, at_once))
    if now:
        do_pack(now)
        found |= _fresh(now)
    return found, len(missing) - len(now)


def _fresh(matches: object) -> dict[tuple[int, str], bytes]:
    rows = PackedMatch.objects.filter(
        match__in=matches, seq=F("match__projection__seq"), shape=SHAPE
    ).values_list("match", "colour", "kept", "match__predictions_followed__kept", "strokes")
    return {
        (match, colour): strokes
        for match, colour, kept, now, strokes in rows.iterator()
        if kept == (now or 0)
    }
