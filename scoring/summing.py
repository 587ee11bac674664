"""What a player's confirmed matches add up to, in a competition and in each of its groups.

The row of a player in the whole competition is locked first, in the order of ids, and guards the rows
of that player's groups; then the player's own matches alone are added up again. So two matches that are
confirmed at once wait for one another only where they share a player, and whatever was wrong before is
right after. Rows stand under the id a match names; merged records are read together, never written.
"""

from __future__ import annotations

import datetime
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.db.models import F, Q, QuerySet, Subquery
from django.utils import timezone

from scoring.models import (
    ColourProjection,
    Competition,
    CompetitionEntry,
    CompetitionProjection,
    HandicapDistance,
    Match,
    MatchProjection,
    Player,
    PlayerMerge,
    StandingSums,
)
from scoring.rules.event.regulations import Regulations
from scoring.rules.event.tallies import Entrants, Figures, Tally, result_of
from scoring.rules.standings import row_of
from scoring.rules.summed import to_json

# After these, what a match of the player brings may have changed for both.
LEAVING = frozenset({"withdraw", "no-show", "disqualify", "reinstate"})


@dataclass(frozen=True)
class Played:
    """A match for the sums: its row, its group, the player ids and the tally."""

    match: int
    group: int | None
    tally: Tally


# --- followers ---------------------------------------------------------------


def follow_change(match: Match) -> None:
    """Bring both players of a match up to date."""
    if match.competition_id is not None:
        do_add_up(match.competition_id, match.entrant_ids)


def follow_making(matches: Sequence[Match]) -> None:
    """Count matches that were made as pending."""
    players: dict[int, set[int]] = defaultdict(set)
    for match in matches:
        if match.competition_id is not None:
            players[match.competition_id] |= set(match.entrant_ids)
    for competition, ids in players.items():
        do_add_up(competition, ids)


def follow_entry(entry: CompetitionEntry) -> None:
    """Bring up to date who left or came back, and everybody who was to meet that player."""
    if entry.kind in LEAVING:
        player = entry.data["player"]
        met = Match.objects.of_player(player).filter(competition=entry.competition_id)
        pairs = met.order_by().values_list("entrant_a", "entrant_b")
        do_add_up(entry.competition_id, {player}.union(*pairs))


# --- adding up ---------------------------------------------------------------


@transaction.atomic
def do_add_up(competition: int, players: Collection[int] | None = None) -> None:
    """Add up the matches of some players of a competition anew; None: of everybody in it.

    The cost goes with the matches of these players, never with those of others.
    """
    if players is None:
        pairs = Match.objects.filter(competition=competition).order_by().values_list("entrant_a", "entrant_b")
        known = StandingSums.objects.filter(competition=competition).values_list("player", flat=True)
        players = set(known).union(*pairs)
    if not players:
        return
    whole = _locked(competition, players)
    sums = _sums(competition, players)
    changed = []
    for player, row in whole.items():
        fresh = sums.pop((player, None), {})
        if row.sums != fresh:
            row.sums = fresh
            changed.append(row)
    for row in StandingSums.objects.filter(competition=competition, group__isnull=False, player__in=players):
        fresh = sums.pop((row.player_id, row.group_id), {})
        if not fresh:
            row.delete()
        elif row.sums != fresh:
            row.sums = fresh
            changed.append(row)
    fresh_rows = [
        StandingSums(competition_id=competition, group_id=group, player_id=player, sums=told)
        for (player, group), told in sums.items()
    ]
    StandingSums.objects.bulk_update(changed, ["sums"], batch_size=200)
    StandingSums.objects.bulk_create(fresh_rows)


def _locked(competition: int, players: Collection[int]) -> dict[int, StandingSums]:
    """Return the rows of players in the whole competition, made where there are none, and held."""
    rows = StandingSums.objects.select_for_update().filter(
        competition=competition, group__isnull=True, player__in=players
    )
    found = {row.player_id: row for row in rows.order_by("player")}
    missing = sorted(set(players) - found.keys())
    if missing:
        StandingSums.objects.bulk_create(
            [StandingSums(competition_id=competition, player_id=player) for player in missing],
            ignore_conflicts=True,
        )
        found = {row.player_id: row for row in rows.order_by("player")}
    return found


def _sums(competition: int, players: Collection[int]) -> dict[tuple[int, int | None], dict[str, Any]]:
    """Return what the rows should hold, by player and group; read once the rows are held."""
    row = Competition.objects.only("regulations").get(pk=competition)
    regulations = Regulations.stored(row.regulations)
    entrants = read_entrants(competition)
    played = read_played(competition, players, regulations)
    parts: dict[tuple[int, int | None], list[Tally]] = {(player, None): [] for player in players}
    for one in played:
        for side in one.tally.sides:
            if (side.key, None) in parts:
                parts[side.key, None].append(one.tally)
                if one.group is not None:
                    parts.setdefault((side.key, one.group), []).append(one.tally)
    return {key: summed(key[0], tallies, regulations, entrants) for key, tallies in parts.items()}


def summed(
    player: int, tallies: Iterable[Tally], regulations: Regulations, entrants: Entrants
) -> dict[str, Any]:
    """Return the sums of a player as they are stored; empty for somebody without a match."""
    results = [result_of(one, regulations, entrants) for one in tallies]
    return to_json(row_of(player, results, regulations.counting)) if results else {}


# --- reading matches ---------------------------------------------------------


def read_entrants(competition: int) -> Entrants:
    """Return the entrants part of a competition's state; one query."""
    found = CompetitionProjection.objects.filter(competition=competition).values_list("state", flat=True)
    return next((state.get("entrants", {}) for state in found), {})


_COLUMNS = (
    "pk", "group_id", "entrant_a_id", "entrant_b_id", "distance_a", "distance_b", "discipline_code",
    "created_at", "projection__started_at", "projection__ended_at", "projection__status",
    "projection__winner_id", "projection__flag_count", "projection__state__ended_by",
    "projection__state__flags",
)  # fmt: skip


def read_played(competition: int, players: Collection[int] | None, regulations: Regulations) -> list[Played]:
    """Return the matches of some players of a competition, None: all, in order; three queries at most."""
    if players is None:
        matches = Match.objects.filter(competition=competition)
    else:
        # Not by the index on the competition, where every match of it would be looked at: by the players.
        own = Q(entrant_a__in=players) | Q(entrant_b__in=players)
        matches = Match.objects.alias(within=F("competition_id") + 0).filter(own, within=competition)
    rows = list(matches.order_by("pk").values(*_COLUMNS))
    figures = ColourProjection.objects.filter(match__in=[row["pk"] for row in rows], player__isnull=False)
    made = {
        (match, player): made
        for match, player, *made in figures.values_list(
            "match_id", "player_id", "points", "innings", "high_run", "sets"
        )
    }
    averages = _own_averages(competition, rows, players) if _needs_own(regulations) else {}
    return [_played(row, made, averages) for row in rows]


def _played(
    row: Mapping[str, Any],
    made: Mapping[tuple[int, int], Sequence[int]],
    own: Mapping[tuple[int, str], Sequence[HandicapDistance]],
) -> Played:
    # A match that was never opened, by the day it was decided, or made.
    opened = row["projection__started_at"] or row["projection__ended_at"] or row["created_at"]
    day = timezone.localdate(opened)
    sides = []
    for player, distance in (
        (row["entrant_a_id"], row["distance_a"]),
        (row["entrant_b_id"], row["distance_b"]),
    ):
        points, innings, high_run, sets = made.get((row["pk"], player), (0, 0, 0, 0))
        held = _held(own.get((player, row["discipline_code"]), ()), day)
        sides.append(Figures(player, points, innings, high_run, sets, distance, held))
    flags = row["projection__state__flags"] if row["projection__flag_count"] else ()
    tally = Tally(
        sides[0],
        sides[1],
        confirmed=row["projection__status"] == MatchProjection.Status.CONFIRMED,
        begun=row["projection__status"] != MatchProjection.Status.PLANNED,
        ended_by=row["projection__state__ended_by"],
        winner=row["projection__winner_id"],
        protested=any(flag.get("code") == "disputed" for flag in flags),
    )
    return Played(row["pk"], row["group_id"], tally)


# --- own averages ------------------------------------------------------------


def _needs_own(regulations: Regulations) -> bool:
    scheme = regulations.points_scheme
    return regulations.absent == "own-average" or (scheme is not None and scheme.own_average is not None)


def _own_averages(
    competition: int, rows: Sequence[Mapping[str, Any]], players: Collection[int] | None
) -> dict[tuple[int, str], list[HandicapDistance]]:
    """Return the dated averages of players, the latest first, by player and discipline; two queries.

    Records that are read as one share one history.
    What was written after a competition was closed is none of its: backdating moves no table that is final.
    """
    if players is None:
        players = {row[name] for row in rows for name in ("entrant_a_id", "entrant_b_id")}
    closing = Subquery(Competition.objects.filter(pk=competition).values("closed_at"))
    is_open = Q(closing__isnull=True)
    into = _read_as(set(players), PlayerMerge.objects.alias(closing=closing), is_open)
    records: dict[int, set[int]] = defaultdict(set)
    for pk in {*players, *into, *into.values()}:
        records[into.get(pk, pk)].add(pk)
    found: dict[tuple[int, str], list[HandicapDistance]] = defaultdict(list)
    history = HandicapDistance.objects.filter(
        player__in={*players, *into, *into.values()},
        discipline_code__in={row["discipline_code"] for row in rows},
    )
    known = history.alias(closing=closing).filter(is_open | Q(made_at__lte=closing))
    for one in known.filter(points__isnull=False, innings__gt=0).order_by("-since", "-pk"):
        for pk in records[into.get(one.player_id, one.player_id)]:
            found[pk, one.discipline_code].append(one)
    return found


def _read_as(players: Collection[int], merges: QuerySet[PlayerMerge], is_open: Q) -> dict[int, int]:
    """Return which records are read as which, of players and of all that are read together with them."""
    closing = F("closing")
    stand = is_open & Q(undone_at__isnull=True)
    stood = Q(made_at__lte=closing) & (Q(undone_at__isnull=True) | Q(undone_at__gt=closing))
    own = Q(gone__in=players) | Q(into__in=players) | Q(into__merges_into__gone__in=players)
    return dict(merges.filter(own).filter(stand | stood).values_list("gone", "into"))


def _held(history: Sequence[HandicapDistance], day: datetime.date) -> tuple[int, int] | None:
    """Return the points and innings of the average that held on a day."""
    for one in history:
        if one.since <= day and one.points is not None and one.innings:
            return one.points, one.innings
    return None


@transaction.atomic
def do_follow_average(player: int, discipline: str) -> None:
    """Bring a player's sums up to date wherever the own average is looked at: the history was changed.

    Closed competitions stay as they are; what was changed meanwhile counts in them once they are reopened.
    """
    whole = Player.objects.filter(Q(pk=player) | Q(merged=player)).values("pk")
    together = Player.objects.filter(Q(pk__in=whole) | Q(merged_into__in=whole))
    records = sorted(together.values_list("pk", flat=True))
    wanted = Competition.objects.filter(
        standing_sums__player__in=records, matches__discipline_code=discipline
    )
    for competition in wanted.filter(closed_at__isnull=True).distinct().order_by("pk"):
        if _needs_own(Regulations.stored(competition.regulations)):
            do_add_up(competition.pk, records)


@transaction.atomic
def follow_merge(gone: Player, into: Player) -> None:
    """Bring the sums of two records up to date that are read as one from now on, or as two again."""
    held = HandicapDistance.objects.filter(player__in=(gone, into), points__isnull=False)
    for discipline in sorted(set(held.values_list("discipline_code", flat=True))):
        for player in (gone.pk, into.pk):
            do_follow_average(player, discipline)


# --- proof -------------------------------------------------------------------


@transaction.atomic
def do_rebuild_sums(competition: Competition) -> list[str]:
    """Add everybody up anew; return what was not as the matches have it."""
    Competition.objects.select_for_update(of=("self",)).get(pk=competition.pk)
    before = _columns(competition)
    do_add_up(competition.pk)
    after = _columns(competition)
    return [
        f"standing of player {player}{'' if group is None else f' in group {group}'} differed"
        for player, group in sorted({*before, *after}, key=str)
        if before.get((player, group)) != after.get((player, group))
    ]


def _columns(competition: Competition) -> dict[tuple[int, int | None], dict[str, Any]]:
    rows = StandingSums.objects.filter(competition=competition).values_list("player", "group", "sums")
    return {(player, group): sums for player, group, sums in rows}
