"""The stages of a competition as they stand: groups, rounds and brackets out of draws and matches.

Four queries, however many matches. Who stands where follows from the draw in the ledger and from
confirmed matches; nothing of it is stored.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from scoring.conducting import read_state
from scoring.models import Competition, Group, Match, MatchProjection, Stage
from scoring.rules import groups as group_rules
from scoring.rules.brackets import BYE, EMPTY, OPEN, Bracket, Feed, bracket
from scoring.rules.event.draws import GROUPS, KNOCKOUT, ROUND_ROBIN, players_of
from scoring.rules.event.entrants import OUT
from scoring.rules.event.entry import State
from scoring.rules.event.knockout import Played, Resolved, resolve
from scoring.rules.groups import DRAWN, After, GroupMatch
from scoring.rules.pairings import Round, round_robin
from scoring.undecided import is_undecided

# What stands of a fixture besides the status of its match.
READY = "ready"
# Somebody went on without a match, because the other had left.
WALKED = "walked-over"
PLANNED = MatchProjection.Status.PLANNED
CONFIRMED = MatchProjection.Status.CONFIRMED


@dataclass
class Fixture:
    """A match that is drawn or will be. tie: its number in its group or bracket, from 1.

    sides: player ids, None where nobody is known; feeds: where an unknown side comes from (a Feed of a
    bracket, an After of a group), else None. state: the status of its match, or open, ready, bye,
    empty, walked-over. held: its corrected result waits for the bracket to be unlocked. extra: it was
    drawn, and extra innings are to be played before anybody goes on.
    """

    tie: int
    round: int
    sides: tuple[int | None, int | None]
    state: str
    match: Match | None = None
    feeds: tuple[Any, Any] = (None, None)
    winner: int | None = None
    drawn: bool = False
    third: bool = False
    held: bool = False
    extra: bool = False


@dataclass
class GroupNow:
    """A group: everybody who was drawn into it, in the order of seats. gone: those who never came."""

    group: Group | None
    drawn: list[int]
    gone: list[int]
    fixtures: list[Fixture] = field(default_factory=list)

    @property
    def seats(self) -> list[int]:
        """Those who are there, in the order of the draw."""
        return [pk for pk in self.drawn if pk not in self.gone]


@dataclass
class StageNow:
    """A stage as it stands. told: its part of the competition's state; draw: None before it is drawn."""

    stage: Stage
    told: dict[str, Any]
    groups: list[GroupNow]
    matches: list[Match]
    resolved: Resolved | None = None
    bracket: Bracket | None = None

    @property
    def kind(self) -> str:
        return self.told["kind"]

    @property
    def draw(self) -> dict[str, Any] | None:
        return self.told["draw"]

    @property
    def locked(self) -> bool:
        """Whether the draw is closed: a match of it holds entries."""
        return any(has_entries(match) for match in self.matches)

    @property
    def fixtures(self) -> list[Fixture]:
        return [one for group in self.groups for one in group.fixtures]

    @property
    def aside(self) -> list[Match]:
        """The matches that were set aside and that others stand in now."""
        used = {one.match.pk for one in self.fixtures if one.match is not None}
        return [one for one in self.matches if one.pk in self.told["aside"] and one.pk not in used]


def has_entries(match: Match) -> bool:
    """Whether something was written of a match, so that it can no longer go away."""
    return match.projection.seq > 0


def has_begun(match: Match) -> bool:
    """Whether a match is under way or over."""
    return match.projection.status != PLANNED


def ended_by(match: Match) -> str | None:
    """Return how a match ended, by its own word."""
    return match.projection.state.get("ended_by")


def result_of(match: Match) -> Any:
    """Return the winner's id of a confirmed match, DRAWN where nobody won, None before."""
    if match.projection.status != CONFIRMED:
        return None
    return match.projection.winner_id or DRAWN


def read_stages(
    competition: Competition, state: State | None = None, stages: Iterable[int] | None = None
) -> list[StageNow]:
    """Return the stages of a competition in their order; `stages`: only these ids."""
    state = read_state(competition) if state is None else state
    rows = Stage.objects.filter(competition=competition)
    if stages is not None:
        rows = rows.filter(pk__in=list(stages))
    known = {one.pk: one for one in rows if str(one.pk) in state["stages"]}
    groups: dict[int, list[Group]] = {}
    for group in Group.objects.filter(stage__in=known).order_by("order", "pk"):
        groups.setdefault(group.stage_id, []).append(group)
    matches: dict[int, list[Match]] = {}
    if groups:
        inside = Match.objects.shown().filter(group__stage__in=known).select_related("group")
        for match in inside.prefetch_related("colour_projections").order_by("tie", "pk"):
            matches.setdefault(match.group.stage_id if match.group else 0, []).append(match)
    found = [
        stage_now(stage, state, groups.get(stage.pk, []), matches.get(stage.pk, []))
        for stage in known.values()
    ]
    return sorted(found, key=lambda one: (one.told["order"], one.stage.pk))


def stage_now(stage: Stage, state: State, groups: Sequence[Group], matches: list[Match]) -> StageNow:
    """Return one stage as its draw and its matches have it."""
    told = state["stages"][str(stage.pk)]
    now = StageNow(stage, told, [], matches)
    draw = told["draw"]
    if draw is None:
        now.groups = [
            GroupNow(group, [], [], [_as_played(one) for one in matches if one.group_id == group.pk])
            for group in groups
        ]
        return now
    players = players_of(state)
    out = {int(key) for key, one in state["entrants"].items() if one["status"] in OUT}
    for place, numbers in enumerate(draw["groups"]):
        row = groups[place] if place < len(groups) else None
        own = [one for one in matches if row is not None and one.group_id == row.pk]
        drawn = [players[number] for number in numbers]
        if now.kind == KNOCKOUT:
            now.groups.append(_knockout(now, row, drawn, own, out))
        else:
            now.groups.append(_group(now.kind, draw, row, drawn, own, out))
    return now


# --- groups ------------------------------------------------------------------


def _group(
    kind: str, draw: dict[str, Any], row: Group | None, drawn: list[int], matches: list[Match], out: set[int]
) -> GroupNow:
    written = {pk for one in matches if has_entries(one) for pk in one.entrant_ids}
    gone = [pk for pk in drawn if pk in out and pk not in written]
    # In a round robin of all, numbers stay as they were drawn, and who met the absent has a bye.
    seats = [pk for pk in drawn if pk not in gone]
    plan = group_plan(kind, draw, seats if kind == GROUPS else drawn)
    found = _Found(matches, draw["double"])
    results = [None if _open(one) else found.result(one) for one in plan]
    if kind == GROUPS:
        plan = group_plan(kind, draw, seats, results)
    fixtures = []
    for number, one in enumerate(plan, 1):
        if one.first in gone or one.second in gone:
            continue
        fixtures.append(_fixture(number, one, None if _open(one) else found.match(one)))
    return GroupNow(row, drawn, gone, fixtures)


def group_plan(
    kind: str, draw: dict[str, Any], seats: Sequence[int], results: Sequence[Any] = ()
) -> list[GroupMatch]:
    """Return the matches of a group in the order they are played, as far as results say who meets whom."""
    if kind == ROUND_ROBIN:
        return [
            GroupMatch(number, *pair)
            for number, one in enumerate(round_robin(seats, draw["double"]), 1)
            for pair in one.pairs
        ]
    known = [one if one in (None, DRAWN) or one in seats else DRAWN for one in results]
    return group_rules.group_matches(
        seats,
        known,
        double=draw["double"],
        after_draw=draw["after_draw"],
        order_of_four=draw["order_of_four"],
    )


def _open(one: GroupMatch) -> bool:
    return isinstance(one.first, After) or isinstance(one.second, After)


class _Found:
    """The matches of a group by who plays: both ways round in a double round robin, else either way."""

    def __init__(self, matches: Iterable[Match], double: bool) -> None:
        self.double = double
        self.by_pair: dict[Any, Match] = {}
        for match in sorted(matches, key=lambda one: (has_entries(one), -one.pk)):
            self.by_pair[self._key(*match.entrant_ids)] = match

    def _key(self, first: int, second: int) -> Any:
        return (first, second) if self.double else frozenset((first, second))

    def match(self, one: GroupMatch) -> Match | None:
        return self.by_pair.get(self._key(one.first, one.second))

    def result(self, one: GroupMatch) -> Any:
        match = self.match(one)
        return None if match is None else result_of(match)


def _fixture(number: int, one: GroupMatch, match: Match | None) -> Fixture:
    feeds = tuple(side if isinstance(side, After) else None for side in (one.first, one.second))
    sides = tuple(None if isinstance(side, After) else side for side in (one.first, one.second))
    if match is None:
        state = OPEN if _open(one) else READY
        return Fixture(number, one.round, (sides[0], sides[1]), state, feeds=(feeds[0], feeds[1]))
    played = _as_played(match)
    played.tie, played.round, played.sides = number, one.round, (sides[0], sides[1])
    return played


def _as_played(match: Match) -> Fixture:
    result = result_of(match)
    return Fixture(
        tie=match.tie or 0,
        round=1,
        sides=match.entrant_ids,
        state=match.projection.status,
        match=match,
        winner=None if result == DRAWN else result,
        drawn=result == DRAWN and ended_by(match) != "annulled",
    )


# --- knock-out ---------------------------------------------------------------


def played_of(match: Match) -> Played:
    """Return what a match says of its tie: a draw decides nothing, an annulled match sends nobody on."""
    result = result_of(match)
    annulled = result == DRAWN and ended_by(match) == "annulled"
    winner = None if result in (None, DRAWN) else result
    return Played(
        match.pk, frozenset(match.entrant_ids), has_begun(match), winner is not None or annulled, winner
    )


def _knockout(
    now: StageNow, row: Group | None, drawn: list[int], matches: list[Match], out: set[int]
) -> GroupNow:
    draw = now.told["draw"]
    now.bracket = bracket(drawn, draw["third_place"])
    played: dict[int, list[Played]] = {}
    for match in matches:
        played.setdefault(match.tie or 0, []).append(played_of(match))
    rows = {match.pk: match for match in matches}
    # One that was brought back holds its players again: it is annulled no longer.
    aside = [pk for pk in now.told["aside"] if pk in rows and ended_by(rows[pk]) == "annulled"]
    now.resolved = resolve(now.bracket, played, out, aside)
    fixtures = []
    for one in now.resolved.ties:
        own = now.resolved.matches.get(one.tie.number)
        match = rows[own.id] if own is not None else None
        fixture = Fixture(
            tie=one.tie.number,
            round=one.tie.round,
            sides=one.sides,
            state=one.state if match is None else match.projection.status,
            match=match,
            feeds=tuple(_feed(feed, side) for feed, side in zip(one.tie.feeds, one.sides, strict=True)),  # type: ignore[arg-type]
            winner=one.winner,
            drawn=match is not None and result_of(match) == DRAWN and ended_by(match) != "annulled",
            third=one.tie.third,
            held=one.tie.number in now.resolved.held,
            extra=match is not None and is_undecided(match),
        )
        if match is None and one.state not in (OPEN, BYE, EMPTY):
            fixture.state = READY if one.state == "ready" else WALKED
        fixtures.append(fixture)
    return GroupNow(row, drawn, [], fixtures)


def _feed(feed: Feed, side: int | None) -> Feed | None:
    return feed if side is None and feed.match is not None else None


# --- rounds ------------------------------------------------------------------


def rounds_of(now: StageNow) -> list[list[list[int | None]]]:
    """Return the rounds as pairs of player ids, the first named starts; a bye stands as null.

    The pairs of later rounds stand there once both are known.
    """
    if now.draw is None:
        return []
    if now.kind == ROUND_ROBIN:
        return [_with_bye(one) for one in round_robin(now.groups[0].drawn, now.draw["double"])]
    rounds: dict[int, list[list[int | None]]] = {}
    for group in now.groups:
        for one in group.fixtures:
            whole = None not in one.sides
            bye = now.kind == KNOCKOUT and one.round == 1 and one.state == BYE
            if whole or bye:
                there = [side for side in one.sides if side is not None]
                rounds.setdefault(one.round, []).append([*there, None][:2])
        if now.kind == GROUPS:
            for number, name in _byes(now, group):
                rounds.setdefault(number, []).append([name, None])
    return [rounds[number] for number in sorted(rounds)]


def _with_bye(one: Round[int]) -> list[list[int | None]]:
    pairs: list[list[int | None]] = [list(pair) for pair in one.pairs]
    return pairs if one.bye is None else [*pairs, [one.bye, None]]


def _byes(now: StageNow, group: GroupNow) -> list[tuple[int, int]]:
    """Return (round, who has a bye) of a group, as far as it is known who plays in that round."""
    found = []
    for number in sorted({one.round for one in group.fixtures}):
        sides = [side for one in group.fixtures if one.round == number for side in one.sides]
        resting = [pk for pk in group.seats if pk not in sides]
        if None not in sides and len(resting) == 1:
            found.append((number, resting[0]))
    return found
