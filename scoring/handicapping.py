"""Handicaps: which distance a player plays to on a day, and how a new one comes about.

A distance holds from a day on, until a later one. A rule proposes distances from averages; a
secretary approves or declines each. A match keeps the distance it was opened with; one that is
planned and not begun takes the distance of its day, where its competition is handicapped.
"""

from __future__ import annotations

import datetime
import uuid as uuids
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.db.models import F, Q, QuerySet, Sum
from django.db.models.functions import Coalesce
from django.utils import timezone

from scoring import ledger, summing
from scoring.models import (
    Club,
    ColourProjection,
    HandicapDistance,
    HandicapProposal,
    Match,
    MatchProjection,
    Player,
)
from scoring.rules.handicaps import (
    Method,
    Proposal,
    distance_from_average,
    distance_from_distance,
)
from scoring.rules.match.checks import Refused
from scoring.rules.said import Malformed, said

# Below so many innings an average is not gone by, unless a secretary says otherwise.
LEAST_INNINGS = 20
LONGEST = 1000


@dataclass(frozen=True)
class Request:
    """What a secretary asks for: a rule, over which matches, and from which discipline.

    since: the first day of the matches; None: all. source: the discipline whose averages, or whose
    distances, the rule goes by.
    """

    discipline: str
    method: Method
    source: str
    since: datetime.date | None = None
    upwards_only: bool = False
    least_innings: int = LEAST_INNINGS


# --- what holds --------------------------------------------------------------


def distances_on(
    players: Iterable[Player | int], discipline: str, day: datetime.date
) -> dict[int, HandicapDistance]:
    """Return the distance of each player that has one on a day, merged records' among it; one query."""
    wanted = [one.pk if isinstance(one, Player) else one for one in players]
    rows = (
        HandicapDistance.objects.annotate(whole=Coalesce(F("player__merged_into"), F("player")))
        .filter(Q(player__in=wanted) | Q(whole__in=wanted), discipline_code=discipline, since__lte=day)
        .order_by("since", "pk")
    )
    found: dict[int, HandicapDistance] = {}
    for row in rows:
        found |= {row.player_id: row, row.whole: row}
    return {pk: found[pk] for pk in wanted if pk in found}


def history_of(player: Player) -> QuerySet[HandicapDistance]:
    """Return every distance a player had or will have, the latest first in each discipline."""
    own = Q(player=player) | Q(player__merged_into=player)
    return HandicapDistance.objects.filter(own).order_by("discipline_code", "-since", "-pk")


def open_proposals(club: Club, discipline: str | None = None) -> QuerySet[HandicapProposal]:
    """Return what waits for a secretary, by name."""
    found = HandicapProposal.objects.filter(club=club, answer=HandicapProposal.Answer.OPEN)
    if discipline is not None:
        found = found.filter(discipline_code=discipline)
    return found.select_related("player__name").order_by("player__name__family", "player__name__given", "pk")


def working_of(proposal: HandicapProposal) -> Proposal:
    """Return how a proposed distance follows from what stands in its row."""
    method = Method.from_json(proposal.method)
    if method.base == "distance":
        return distance_from_distance(
            method, proposal.points, current=proposal.current, upwards_only=proposal.upwards_only
        )
    return distance_from_average(
        method,
        proposal.points,
        proposal.innings,
        current=proposal.current,
        upwards_only=proposal.upwards_only,
    )


# --- what is proposed --------------------------------------------------------


def averages_of(
    club: Club, discipline: str, since: datetime.date | None = None
) -> dict[int, tuple[int, int]]:
    """Return points and innings of everybody's confirmed matches, as played; one query."""
    rows = ColourProjection.objects.filter(
        match__club=club,
        match__discipline_code=discipline,
        match__projection__status=MatchProjection.Status.CONFIRMED,
        counted=True,
        innings__gt=0,
        player__isnull=False,
    )
    if since is not None:
        rows = rows.filter(match__projection__ended_at__date__gte=since)
    whole = Coalesce(F("player__merged_into"), F("player"))
    sums = rows.annotate(whole=whole).values("whole").annotate(points=Sum("points"), innings=Sum("innings"))
    return {row["whole"]: (row["points"], row["innings"]) for row in sums.order_by()}


@transaction.atomic
def do_propose(club: Club, asked: Request, today: datetime.date) -> list[HandicapProposal]:
    """Work distances out and propose those that would change; a proposal still open is replaced.

    Raises Malformed (`source`) for a rule that goes by the distances of the same discipline.
    """
    if asked.method.base == "distance" and asked.source == asked.discipline:
        raise Malformed("source", said("This rule goes by the distances of another discipline: choose it."))
    found = list(_worked_out(club, asked, today))
    open_ones = HandicapProposal.objects.filter(
        club=club, discipline_code=asked.discipline, answer=HandicapProposal.Answer.OPEN
    )
    open_ones.update(answer=HandicapProposal.Answer.REPLACED, answered_at=timezone.now())
    return HandicapProposal.objects.bulk_create(
        HandicapProposal(
            club=club,
            player_id=player,
            discipline_code=asked.discipline,
            current=proposal.current,
            distance=proposal.distance,
            points=points,
            innings=innings,
            method=asked.method.to_json(),
            upwards_only=asked.upwards_only,
        )
        for player, points, innings, proposal in found
        if proposal.changes and proposal.distance is not None
    )


def _worked_out(club: Club, asked: Request, today: datetime.date) -> Iterable[tuple[int, int, int, Proposal]]:
    """Give (player, points, innings, proposal) of everybody the rule says something about.

    A rule that goes by distances keeps the distance in the place of the points, and no innings.
    """
    if asked.method.base == "distance":
        players = Player.objects.filter(merged_into__isnull=True).values_list("pk", flat=True)
        others = distances_on(players, asked.source, today)
        current = distances_on(others, asked.discipline, today)
        for player, row in sorted(others.items()):
            now = current[player].distance if player in current else None
            yield (
                player,
                row.distance,
                0,
                distance_from_distance(
                    asked.method, row.distance, current=now, upwards_only=asked.upwards_only
                ),
            )
        return
    averages = averages_of(club, asked.source, asked.since)
    current = distances_on(averages, asked.discipline, today)
    for player, (points, innings) in sorted(averages.items()):
        if innings >= asked.least_innings:
            now = current[player].distance if player in current else None
            yield (
                player,
                points,
                innings,
                distance_from_average(
                    asked.method, points, innings, current=now, upwards_only=asked.upwards_only
                ),
            )


@transaction.atomic
def do_answer(
    club: Club,
    chosen: Collection[int],
    *,
    approve: bool,
    since: datetime.date,
    user: Any = None,
    why: str = "",
) -> list[HandicapProposal]:
    """Approve proposals, from a day on, or decline them; all of them or none.

    Raises Refused (`answered`) where one has been answered meanwhile.
    """
    rows = list(
        HandicapProposal.objects.select_for_update(of=("self",))
        .filter(club=club, pk__in=chosen)
        .order_by("pk")
    )
    if len(rows) != len(set(chosen)) or any(row.answer != HandicapProposal.Answer.OPEN for row in rows):
        raise Refused(
            "answered", said("Somebody answered one of these meanwhile. Look at the list, then do it again.")
        )
    for row in rows:
        if approve:
            row.made = do_set_distance(
                club,
                row.player,
                row.discipline_code,
                row.distance,
                since=since,
                user=user,
                why=why,
                worked_out=(row.points, row.innings, row.method),
            )
        row.answer = HandicapProposal.Answer.APPROVED if approve else HandicapProposal.Answer.DECLINED
        row.answered_at, row.answered_by, row.why = timezone.now(), user, why
        row.save()
    return rows


@transaction.atomic
def do_set_distance(
    club: Club,
    player: Player,
    discipline: str,
    distance: int,
    *,
    since: datetime.date,
    user: Any = None,
    why: str = "",
    worked_out: tuple[int, int, Mapping[str, Any]] | None = None,
    uuid: uuids.UUID | None = None,
) -> HandicapDistance:
    """Let a distance hold from a day on; planned matches of handicapped competitions take it over.

    Rows are kept for ever: of two that begin on one day the later holds. Raises Malformed (`distance`).
    """
    if not 1 <= distance <= LONGEST:
        raise Malformed(
            "distance", said("a whole number from %(low)s to %(high)s is needed here", low=1, high=LONGEST)
        )
    points, innings, method = worked_out or (None, None, None)
    row = HandicapDistance.objects.create(
        uuid=uuid or uuids.uuid4(),
        club=club,
        player=player,
        discipline_code=discipline,
        distance=distance,
        since=since,
        points=points,
        innings=innings,
        method=None if method is None else dict(method),
        why=why,
        made_by=user,
    )
    _bring_up_to_date(player, discipline)
    return row


# --- matches -----------------------------------------------------------------


def is_handicapped(regulations: Mapping[str, Any]) -> bool:
    """Whether the matches of a competition are played to everybody's own distance."""
    return bool(regulations.get("handicapped"))


def own_distances(
    players: Sequence[Player], discipline: str, day: datetime.date, agreed: Sequence[int | None]
) -> list[int | None]:
    """Return the distances of a match's players on a day; who has none plays to the agreed one."""
    known = distances_on(players, discipline, day)
    return [
        known[player.pk].distance if player.pk in known else usual
        for player, usual in zip(players, agreed, strict=True)
    ]


def _bring_up_to_date(player: Player, discipline: str) -> None:
    """Give the planned matches of a player, where handicapped, the distances that hold on their day."""
    summing.do_follow_average(player.pk, discipline)
    planned = (
        Match.objects.filter(Q(entrant_a=player) | Q(entrant_b=player), discipline_code=discipline)
        .filter(projection__seq=0, encounter__isnull=True, competition__closed_at__isnull=True)
        .filter(competition__regulations__handicapped=True)
        .select_related("projection", "entrant_a", "entrant_b")
        .order_by("pk")
    )
    today = timezone.localdate()
    for match in planned:
        day = today if match.scheduled_at is None else timezone.localdate(match.scheduled_at)
        sides = (match.entrant_a, match.entrant_b)
        first, second = own_distances(sides, discipline, day, match.format["distance"])
        if [first, second] != match.format["distance"]:
            ledger.begin_again(match, (first, second))
