"""Who takes part: entering, present and absent, leaving and coming back, the order of strength."""

from __future__ import annotations

import uuid as uuids
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db import transaction

from scoring import ledger
from scoring.advancing import LEAVING, author_of, decision, do_advance, do_decide, do_write, follow_uuid, hold
from scoring.conducting import Recorded, do_record, read_state
from scoring.ledger import Author
from scoring.models import Competition, CompetitionEntry, Match, MatchEntry, MatchProjection, Player
from scoring.rules.event.draws import GROUPS, KNOCKOUT
from scoring.rules.event.entry import State
from scoring.rules.event.regulations import Regulations
from scoring.rules.said import Malformed, said
from scoring.stages import StageNow, has_begun, read_stages

Status = MatchProjection.Status
# What may be written of an entrant here, and whether it names one player or several.
ONE = ("present", "absent", "withdraw", "no-show", "disqualify", "reinstate")
SEVERAL = ("enter", "seeds")


@dataclass(frozen=True)
class Change:
    """What becomes of a match when a player leaves: walkover, disqualified, given-up, annulled."""

    match: Match
    what: str


@transaction.atomic
def do_enter(
    competition: Competition,
    players: Sequence[int],
    author: Author,
    *,
    reserve: bool = False,
    uuid: uuids.UUID | None = None,
) -> Recorded:
    """Enter players, or put them on the list of reserves. Raises Malformed, and Refused `left-before`."""
    if not players:
        raise Malformed("players", said("One player at least is needed."))
    found = set(Player.objects.filter(pk__in=list(players)).values_list("pk", flat=True))
    if len(found) < len(set(players)):
        raise Malformed("players", said("There is no such player."))
    return do_record(competition, "enter", {"players": list(players), "reserve": reserve}, author, uuid=uuid)


@transaction.atomic
def do_mark(
    competition: Competition, kind: str, player: int, author: Author, *, uuid: uuids.UUID | None = None
) -> Recorded:
    """Say that a player is present, or is not yet."""
    return do_record(competition, kind, {"player": player}, author, uuid=uuid)


@transaction.atomic
def do_seed(
    competition: Competition, players: Sequence[int], author: Author, *, uuid: uuids.UUID | None = None
) -> Recorded:
    """Order the entrants by strength, the strongest first."""
    return do_record(competition, "seeds", {"players": list(players)}, author, uuid=uuid)


# --- leaving -------------------------------------------------------------------


def annuls(competition: Competition) -> bool:
    """Whether the matches of who leaves count for nobody, by the regulations."""
    return Regulations.stored(competition.regulations).withdrawals == "annul"


def what_leaving_does(
    competition: Competition, state: State, kind: str, player: int, annul: bool | None = None
) -> list[Change]:
    """Return what becomes of the matches of a player who leaves, as it is shown beforehand.

    Played matches stay as they are: whether they count is for the standings, which read `annul`. A group
    that the player never came to plays on with one less, and in a stage of which nothing has begun there
    is nothing to decide: its planned matches go away.
    """
    annul = annuls(competition) if annul is None else annul
    then = state | {"entrants": state["entrants"] | {str(player): {"annul": annul, "status": "withdrawn"}}}
    found = []
    for now in read_stages(competition, state):
        found += [
            Change(match, _what(decision(match, player, then, kind))) for match in _to_decide(now, player)
        ]
    return found


def _to_decide(now: StageNow, player: int) -> list[Match]:
    own = [one for one in now.matches if player in one.entrant_ids]
    if not now.locked or (now.kind == GROUPS and not any(has_begun(one) for one in own)):
        return []
    open_ones = (Status.PLANNED, Status.PLAYING, Status.SUSPENDED)
    return [one for one in own if one.projection.status in open_ones]


def _what(steps: Sequence[Mapping[str, Any]]) -> str:
    last = steps[-1]
    return "given-up" if last["kind"] == "retire" else last["outcome"]


@transaction.atomic
def do_leave(
    competition: Competition,
    kind: str,
    player: int,
    why: str,
    author: Author,
    *,
    annul: bool | None = None,
    uuid: uuids.UUID | None = None,
) -> Recorded:
    """Withdraw a player, or write a no-show or a disqualification, and decide the matches left to play.

    annul: by the regulations where it is not said. All of it is written, or none. Raises Malformed
    without a reason, and Refused.
    """
    if kind not in LEAVING:
        raise ValueError(kind)
    if not why.strip():
        raise Malformed("why", said("Say why. It is kept with the entry."))
    competition = hold(competition)
    annul = annuls(competition) if annul is None else annul
    fields = {"player": player, "annul": annul, "why": why}
    changes = what_leaving_does(competition, read_state(competition), kind, player, annul)
    recorded = do_record(competition, kind, fields, author, uuid=uuid)
    if not recorded.known:
        for change in changes:
            do_decide(change.match, player, recorded.state, recorded.entry, why)
        do_advance(competition)
    return recorded


@transaction.atomic
def do_reinstate(
    competition: Competition, player: int, why: str, author: Author, *, uuid: uuids.UUID | None = None
) -> Recorded:
    """Bring a player back, and the matches that leaving decided, where nothing followed from them."""
    if not why.strip():
        raise Malformed("why", said("Say why. It is kept with the entry."))
    competition = hold(competition)
    left = (
        CompetitionEntry.objects.filter(competition=competition, kind__in=LEAVING, data__player=player)
        .order_by("-seq")
        .first()
    )
    before = read_stages(competition)
    recorded = do_record(competition, "reinstate", {"player": player, "why": why}, author, uuid=uuid)
    if not recorded.known and left is not None:
        for now in before:
            for match in now.matches:
                if player in match.entrant_ids and not _followed(now, match):
                    _take_back(match, left, recorded.entry, why)
        do_advance(competition)
    return recorded


def _followed(now: StageNow, match: Match) -> bool:
    """Whether a match further down a bracket has begun that hangs on this one."""
    if now.kind != KNOCKOUT or now.bracket is None:
        return False
    further = {tie.number for tie in now.bracket.ties if any(feed.match == match.tie for feed in tie.feeds)}
    return any(one.tie in further and has_begun(one) for one in now.matches)


def _take_back(match: Match, left: CompetitionEntry, entry: CompetitionEntry, why: str) -> None:
    """Strike out what a leaving wrote in a match, unless somebody wrote in it since."""
    ours = [follow_uuid(left.uuid, match, place) for place in range(3)]
    written = list(MatchEntry.objects.filter(match=match, uuid__in=ours).order_by("seq"))
    match = ledger.lock(match.pk)
    if not written or written[-1].seq != match.projection.seq:
        return
    decided = next(one for one in written if one.kind in ("result", "retire"))
    steps: list[dict[str, object]] = [{"kind": "void", "target": str(decided.uuid)}]
    do_write(match, steps, author_of(entry), entry.uuid, why)
