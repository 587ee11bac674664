"""What follows in groups and brackets when a result is known: the next matches are made.

Runs in the transaction of whatever made it known: an entry of a match, or of the competition. Locks are
taken in one order, matches before their competition, so that no two writers wait for one another.
"""

from __future__ import annotations

import uuid as uuids
from collections.abc import Iterable

from django.db import transaction
from django.utils.translation import gettext

from scoring import following, ledger
from scoring.arrange import do_arrange_match
from scoring.conducting import read_state
from scoring.ledger import Author
from scoring.models import Competition, CompetitionEntry, Group, Match, MatchProjection, Player
from scoring.rules.event.draws import GROUPS, KNOCKOUT
from scoring.rules.event.entrants import IN, OUT
from scoring.rules.event.entry import State
from scoring.stages import READY, Fixture, GroupNow, StageNow, ended_by, has_entries, read_stages

# Entries after which a player's matches are no longer played.
LEAVING = frozenset({"withdraw", "no-show", "disqualify"})


def hold(competition: Competition) -> Competition:
    """Lock a competition and its unfinished matches until the transaction ends; return it as it is now."""
    unfinished = MatchProjection.objects.filter(match__competition=competition).exclude(
        status=MatchProjection.Status.CONFIRMED
    )
    list(unfinished.select_for_update(of=("self",)).order_by("pk").values_list("pk", flat=True))
    return Competition.objects.select_for_update(of=("self",)).select_related("club").get(pk=competition.pk)


def follow(match: Match) -> None:
    """Make the matches that a result brings about: called in the transaction that wrote it."""
    if match.group_id is None or match.competition_id is None:
        return
    stage = Group.objects.select_related("stage").get(pk=match.group_id).stage
    if stage.kind in (GROUPS, KNOCKOUT):
        # Two results at once: whoever comes second sees what the first one wrote.
        held = Competition.objects.select_for_update(of=("self",)).select_related("club")
        _advance(held.get(pk=match.competition_id), [stage.pk])


@transaction.atomic
def do_advance(competition: Competition, stages: Iterable[int] | None = None) -> list[StageNow]:
    """Bring the planned matches of the drawn stages to where draw and results have them; return the stages.

    Matches that nobody has written in go away where others play now; one with entries never does.
    """
    return _advance(hold(competition), stages)


def _advance(competition: Competition, stages: Iterable[int] | None) -> list[StageNow]:
    state = read_state(competition)
    found = read_stages(competition, state, stages)
    made: list[Match] = []
    with following.gathered():
        for now in found:
            if now.draw is not None:
                for group in now.groups:
                    made += _bring_on(competition, state, now, group)
    # Deciding one of them may make others, so all stand before the first is decided.
    decided = [_settle_absence(competition, state, match) for match in made]
    decided += [_bring_back(match) for now in found for match in _returned(now)]
    return read_stages(competition, state, stages) if any(decided) else found


def _bring_on(competition: Competition, state: State, now: StageNow, group: GroupNow) -> list[Match]:
    """Make, number and take away the planned matches of one group; return those that were made."""
    made = []
    wanted = {one.match.pk for one in group.fixtures if one.match is not None and _is_wanted(now, one, state)}
    for match in now.matches:
        own = group.group is not None and match.group_id == group.group.pk
        if own and match.pk not in wanted and not has_entries(match):
            do_remove(match)
    for one in group.fixtures:
        if one.match is not None:
            if one.match.pk in wanted and one.match.tie != one.tie:
                Match.objects.filter(pk=one.match.pk).update(tie=one.tie)
                one.match.tie = one.tie
        elif one.state == READY and None not in one.sides:
            one.match = _make(competition, now, group, one)
            one.state = MatchProjection.Status.PLANNED
            made.append(one.match)
    return made


def _is_wanted(now: StageNow, one: Fixture, state: State) -> bool:
    """Whether a planned match stays: in a knock-out who meets somebody that left goes on without one."""
    if now.kind != KNOCKOUT:
        return True
    left = any(state["entrants"].get(str(pk), {}).get("status") in OUT for pk in one.sides)
    return not left or (one.match is not None and has_entries(one.match))


def _make(competition: Competition, now: StageNow, group: GroupNow, one: Fixture) -> Match:
    draw = now.told["draw"]
    first, second = (Player.objects.get(pk=pk) for pk in one.sides)
    place = now.groups.index(group)
    named = f"{place}/{one.tie}/{first.pk}/{second.pk}"
    match = do_arrange_match(
        club=competition.club,
        players=(first, second),
        competition=competition,
        group=group.group,
        format=draw["format"] or None,
        uuid=uuids.uuid5(uuids.UUID(draw["uuid"]), named),
    )
    Match.objects.filter(pk=match.pk).update(tie=one.tie)
    match.tie = one.tie
    return match


def do_remove(match: Match) -> None:
    """Take away a planned match in which nothing was ever written."""
    match.pens.all().delete()
    match.delete()
    following.tell_made(match)  # which matches there are has changed


# --- what is set aside ---------------------------------------------------------


def do_set_aside(matches: Iterable[int], unlock: CompetitionEntry, why: str) -> None:
    """Annul the begun matches that others play now: they count for nobody and keep nobody at a table."""
    for pk in matches:
        match = ledger.lock(pk)
        if ended_by(match) != "annulled":
            steps: list[dict[str, object]] = [{"kind": "result", "outcome": "annulled"}, {"kind": "confirm"}]
            do_write(match, steps, author_of(unlock), unlock.uuid, why)


def _returned(now: StageNow) -> list[Match]:
    """Return the annulled matches that were set aside, and whose players stand there again."""
    found = [one.match for one in now.fixtures if one.match is not None and ended_by(one.match) == "annulled"]
    return [match for match in found if match.pk in now.told["aside"]]


def _bring_back(match: Match) -> bool:
    """Strike out what setting it aside wrote in a match, unless somebody wrote since; whether it was done."""
    unlocks = CompetitionEntry.objects.filter(competition=match.competition_id, kind="unlock")
    for unlock in unlocks.order_by("-seq"):
        if match.pk in unlock.data["matches"]:
            written = match.entries.filter(uuid=follow_uuid(unlock.uuid, match, 0)).first()
            match = ledger.lock(match.pk)
            if written is None or match.projection.seq != written.seq + 1:
                return False
            base = uuids.uuid5(unlock.uuid, f"back/{match.projection.seq}")
            why = gettext("its players stand in the bracket again")
            do_write(match, [{"kind": "void", "target": str(written.uuid)}], author_of(unlock), base, why)
            return True
    return False


# --- who has left -------------------------------------------------------------


def _settle_absence(competition: Competition, state: State, match: Match) -> bool:
    """Decide a match that was made for somebody who had left by then; return whether it was one."""
    left = {pk for pk in match.entrant_ids if state["entrants"].get(str(pk), {}).get("status") in OUT}
    for pk in sorted(left):
        entry = (
            CompetitionEntry.objects.filter(competition=competition, kind__in=LEAVING, data__player=pk)
            .order_by("-seq")
            .first()
        )
        if entry is not None:
            do_decide(match, pk, state, entry, why="")
            return True
    return False


def author_of(entry: CompetitionEntry) -> Author:
    """Return who wrote an entry of a competition, as an author of what follows from it."""
    return Author(
        user_id=entry.author_user_id,
        link_id=entry.author_link_id,
        batch_id=entry.import_batch_id,
        organises=True,
    )


def decision(match: Match, gone: int, state: State, kind: str) -> list[dict[str, object]]:
    """Return the entries that end a match which `gone` plays no more.

    Counted as the entrant's `annul` says: annulled, or for the opponent; one that is under way is given
    up. Where both have left it is annulled.
    """
    other = next(pk for pk in match.entrant_ids if pk != gone)
    entrants = state["entrants"]
    other_in = entrants.get(str(other), {}).get("status") in IN
    if entrants[str(gone)]["annul"] or not other_in:
        return [{"kind": "result", "outcome": "annulled"}]
    if kind == "disqualify":
        return [{"kind": "result", "outcome": "disqualified", "player": other}]
    if match.projection.status == MatchProjection.Status.PLANNED:
        return [{"kind": "result", "outcome": "walkover", "player": other}]
    if match.projection.status == MatchProjection.Status.SUSPENDED:
        return [{"kind": "resume"}, {"kind": "retire", "player": gone}]
    return [{"kind": "retire", "player": gone}]


def do_decide(match: Match, gone: int, state: State, entry: CompetitionEntry, why: str) -> None:
    """End a match as a leaving has it, and confirm it. Raises what the ledger refused."""
    match = ledger.lock(match.pk)
    steps = [*decision(match, gone, state, entry.kind), {"kind": "confirm"}]
    do_write(match, steps, author_of(entry), entry.uuid, why)


def do_write(
    match: Match, steps: list[dict[str, object]], author: Author, base: uuids.UUID, why: str
) -> None:
    """Append entries that follow from an entry of the competition: all of them, or it raises and none.

    Their uuids derive from `base`, so that a retry is known.
    """
    reason = {"why": why} if why else {}
    sent = [
        {"uuid": str(follow_uuid(base, match, place)), "after": match.projection.seq}
        | one
        | (reason if one["kind"] in ("result", "void") else {})
        for place, one in enumerate(steps)
    ]
    outcomes, _state = ledger.append_list(match.pk, sent, author)
    for outcome in outcomes:
        if outcome.error is not None:
            raise outcome.error


def follow_uuid(base: uuids.UUID, match: Match, place: int) -> uuids.UUID:
    """Return the uuid of the entry of a match that follows from an entry of the competition."""
    return uuids.uuid5(base, f"{match.uuid}/{place}")
