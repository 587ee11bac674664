"""Making stages, drawing them, unlocking a bracket, adding a match to a free series."""

from __future__ import annotations

import uuid as uuids
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext

from scoring import following
from scoring.advancing import do_advance, do_remove, do_set_aside, hold
from scoring.arrange import do_arrange_match
from scoring.conducting import do_record, read_state
from scoring.ledger import Author
from scoring.models import Competition, CompetitionEntry, Group, Match, Membership, Player, Stage
from scoring.regulations import find_discipline
from scoring.rules.event.drawn import work_out
from scoring.rules.event.draws import GROUPS, KNOCKOUT, LEAGUE, ROUND_ROBIN, SERIES, stage_of
from scoring.rules.event.entrants import IN, OUT
from scoring.rules.event.entry import State
from scoring.rules.event.regulations import Regulations
from scoring.rules.formats import complete_format
from scoring.rules.groups import AFTER_DRAW, ORDERS_OF_FOUR, group_count
from scoring.rules.match.checks import Refused
from scoring.rules.said import Malformed, said
from scoring.stages import StageNow, read_stages


@dataclass(frozen=True)
class Asked:
    """What a draw is asked with. players: ids, strongest first; stage: an id, None for one that is made;
    latest: the latest stage of the kind is drawn again, where there is one.

    groups: how many, or group_size: how large; either makes a round robin a stage of groups. apart: club-mates, or
    those of one group of the stage before, are kept apart ("clubs", "groups").
    """

    kind: str
    players: Sequence[int]
    format: Mapping[str, Any] = field(default_factory=dict)
    stage: int | None = None
    name: str = ""
    way: str = "ranking"
    seed: str = ""
    groups: int | None = None
    group_size: int | None = None
    double: bool = False
    third_place: bool | None = None
    after_draw: str = AFTER_DRAW[0]
    order_of_four: str = ORDERS_OF_FOUR[0]
    apart: str = ""
    latest: bool = False

    @property
    def stage_kind(self) -> str:
        """The kind of stage it makes."""
        if self.kind == ROUND_ROBIN and (self.groups is not None or self.group_size is not None):
            return GROUPS
        return self.kind

    def group_count(self) -> int:
        """Return how many groups are made."""
        if self.stage_kind != GROUPS:
            return 1
        if self.groups is not None:
            return self.groups
        return group_count(len(self.players), self.group_size or 4)


@dataclass(frozen=True)
class Drawn:
    """The stage as it stands after a draw; known: it had been drawn before under the same uuid."""

    stage: StageNow
    known: bool = False


# --- stages -------------------------------------------------------------------


@transaction.atomic
def do_make_stage(
    competition: Competition, kind: str, name: str, author: Author, *, uuid: uuids.UUID | None = None
) -> Stage:
    """Make a stage, with one group unless groups are drawn; the same uuid again answers the same stage."""
    competition = hold(competition)
    uuid = uuid or uuids.uuid4()
    order = len(read_state(competition)["stages"])
    stage, made = Stage.objects.get_or_create(
        uuid=uuids.uuid5(uuid, "stage"),
        defaults={
            "competition": competition,
            "kind": kind,
            "order": order,
            "name": name or default_name(kind),
        },
    )
    if not made:
        return stage
    do_record(competition, "stage", {"stage": stage.pk, "kind": kind, "order": order}, author, uuid=uuid)
    if kind in (SERIES, LEAGUE):
        Group.objects.create(stage=stage, name=stage.name, uuid=uuids.uuid5(stage.uuid, "group"))
    return stage


def default_name(kind: str) -> str:
    """Return the name of a stage that was given none."""
    return {
        ROUND_ROBIN: gettext("Round robin"),
        GROUPS: gettext("Groups"),
        KNOCKOUT: gettext("Knock-out"),
        SERIES: gettext("Free series"),
        LEAGUE: gettext("League"),
    }[kind]


def group_name(place: int) -> str:
    """Return the name of a group by its place from 0: A to Z, then A2, B2 ..."""
    letter = chr(ord("A") + place % 26)
    return letter if place < 26 else f"{letter}{place // 26 + 1}"


# --- drawing ------------------------------------------------------------------


@transaction.atomic
def do_draw(
    competition: Competition, asked: Asked, author: Author, *, uuid: uuids.UUID | None = None
) -> Drawn:
    """Enter who is not in yet, draw, and make the matches: all of it or nothing.

    Raises Malformed with the field, and Refused: `locked` where a match of the stage has begun,
    `left-before` for players who have left.
    """
    competition = hold(competition)
    uuid = uuid or uuids.uuid4()
    state = read_state(competition)
    stored = CompetitionEntry.objects.filter(uuid=uuid).first()
    if stored is not None:
        return _known(competition, state, asked, stored)
    if asked.latest and asked.stage is None:
        same = [
            (one["order"], int(key))
            for key, one in state["stages"].items()
            if one["kind"] == asked.stage_kind
        ]
        asked = replace(asked, stage=max(same)[1] if same else None)
    _check(competition, state, asked)
    state = _enter(competition, state, asked.players, author, uuid)
    stage = _stage(competition, asked, author, uuid)
    fields = draw_fields(competition, state, asked) | {"stage": stage.pk}
    do_record(competition, "draw", fields, author, uuid=uuid)
    with following.gathered():
        _make_rows(stage, fields["groups"])
        return Drawn(do_advance(competition, [stage.pk])[0])


def _known(competition: Competition, state: State, asked: Asked, stored: CompetitionEntry) -> Drawn:
    numbers = [state["entrants"].get(str(pk), {}).get("number") for pk in asked.players]
    same = stored.competition_id == competition.pk and stored.kind == "draw"
    if same:
        data = stored.data
        drawn_as = (data["way"], data["seed"], data["given"])
        same = drawn_as == (asked.way, asked.seed, [str(number) for number in numbers])
        same = same and state["stages"][str(data["stage"])]["kind"] == asked.stage_kind
    if not same:
        raise Refused(
            "uuid-known", said("This uuid was used for something else. Write it again with a new one.")
        )
    return Drawn(read_stages(competition, state, [stored.data["stage"]])[0], known=True)


def _check(competition: Competition, state: State, asked: Asked) -> None:
    if len(set(asked.players)) < len(asked.players):
        raise Malformed("players", said("an id stands here twice"))
    found = set(Player.objects.filter(pk__in=asked.players).values_list("pk", flat=True))
    if len(found) < len(asked.players):
        raise Malformed("players", said("There is no such player."))
    if asked.stage_kind == GROUPS and not 1 <= asked.group_count() <= max(1, len(asked.players) // 2):
        raise Malformed("groups", said("A group of one plays nobody. Make fewer groups."))
    for pk in asked.players:
        if state["entrants"].get(str(pk), {}).get("status") in OUT:
            raise Refused(
                "left-before", said("A player who has left cannot be drawn. Bring the player back.")
            )
    if asked.stage is not None:
        found_stage = stage_of(state, asked.stage)
        if found_stage["kind"] != asked.stage_kind:
            raise Refused("other-kind", said("This stage is of another kind. Make a stage for this draw."))
        if read_stages(competition, state, [asked.stage])[0].locked:
            raise LOCKED
    game = find_discipline(competition.club, competition.discipline)
    complete_format(asked.format, competition.format_defaults, game)


LOCKED = Refused("locked", said("A match of this draw has begun, so the draw is closed."))


def _enter(
    competition: Competition, state: State, players: Iterable[int], author: Author, uuid: uuids.UUID
) -> State:
    missing = [pk for pk in players if state["entrants"].get(str(pk), {}).get("status") not in IN]
    if not missing:
        return state
    return do_record(
        competition, "enter", {"players": missing}, author, uuid=uuids.uuid5(uuid, "enter")
    ).state


def _stage(competition: Competition, asked: Asked, author: Author, uuid: uuids.UUID) -> Stage:
    if asked.stage is not None:
        return Stage.objects.get(pk=asked.stage, competition=competition)
    return do_make_stage(
        competition, asked.stage_kind, asked.name, author, uuid=uuids.uuid5(uuid, "stage-entry")
    )


def draw_fields(competition: Competition, state: State, asked: Asked) -> dict[str, Any]:
    """Return a draw as its entry holds it, without the stage; writes nothing."""
    entrants = state["entrants"]
    number = {int(key): str(one["number"]) for key, one in entrants.items()}
    # A preview knows nobody's number who is not entered yet: they come next, in this order.
    highest = max((one["number"] for one in entrants.values()), default=0)
    for pk in asked.players:
        if pk not in number:
            highest += 1
            number[pk] = str(highest)
    given = [number[pk] for pk in asked.players]
    clubs = _mates(competition, state, asked, number) if asked.apart else []
    worked = work_out(
        asked.stage_kind,
        given,
        way=asked.way,
        seed=asked.seed,
        groups=asked.group_count(),
        clubs=clubs,
    )
    third = asked.third_place
    if third is None:
        third = Regulations.stored(competition.regulations).third_place
    return {
        "way": asked.way,
        "seed": asked.seed,
        "given": given,
        "order": worked.order,
        "groups": worked.groups,
        "clubs": clubs,
        "double": asked.double,
        "third_place": bool(third) and asked.stage_kind == KNOCKOUT,
        "after_draw": asked.after_draw,
        "order_of_four": asked.order_of_four,
        "format": dict(asked.format),
    }


def _mates(
    competition: Competition, state: State, asked: Asked, number: Mapping[int, str]
) -> list[list[str]]:
    """Return who is kept apart, as lists of numbers in the order of strength: of one club, or of one group before."""
    by: dict[Any, list[str]] = {}
    if asked.apart == "groups":
        before = [
            one for one in read_stages(competition, state) if one.kind == GROUPS and one.draw is not None
        ]
        place = {pk: at for now in before for at, group in enumerate(now.groups) for pk in group.drawn}
    else:
        rows = (
            Membership.objects.on(timezone.localdate())
            .filter(player__in=asked.players)
            .order_by("-since", "-pk")
        )
        place = {row.player_id: row.club_id for row in rows}
    for pk in asked.players:
        if pk in place:
            by.setdefault(place[pk], []).append(number[pk])
    return [mates for mates in by.values() if len(mates) > 1]


def _make_rows(stage: Stage, groups: Sequence[Sequence[str]]) -> None:
    """Give every drawn group a row, and take away what an earlier draw of the stage planned."""
    for match in Match.objects.filter(group__stage=stage).select_related("projection"):
        do_remove(match)
    rows = list(stage.groups.order_by("order", "pk"))
    for row in rows[len(groups) :]:
        row.delete()
    for place in range(len(groups)):
        name = group_name(place) if stage.kind == GROUPS else stage.name
        if place < len(rows):
            Group.objects.filter(pk=rows[place].pk).update(order=place, name=name)
        else:
            Group.objects.create(stage=stage, name=name, order=place)


@transaction.atomic
def do_undraw(
    competition: Competition, stage: int, author: Author, *, uuid: uuids.UUID | None = None
) -> None:
    """Take a draw back of which no match has begun; its planned matches go away."""
    competition = hold(competition)
    stored = uuid is not None and CompetitionEntry.objects.filter(uuid=uuid).exists()
    if not stored and read_stages(competition, stages=[stage])[0].locked:
        raise LOCKED
    if do_record(competition, "undraw", {"stage": stage}, author, uuid=uuid).known:
        return
    for match in Match.objects.filter(group__stage=stage).select_related("projection"):
        do_remove(match)


# --- afterwards ---------------------------------------------------------------


@transaction.atomic
def do_replace(
    competition: Competition,
    stage: int,
    player: int,
    by: int,
    author: Author,
    *,
    uuid: uuids.UUID | None = None,
) -> None:
    """Let a reserve, or a late entrant, take the seat of somebody whose matches have not begun."""
    competition = hold(competition)
    if uuid is None or not CompetitionEntry.objects.filter(uuid=uuid).exists():
        found = read_stages(competition, stages=[stage])
        own = [one for now in found for one in now.matches if player in one.entrant_ids]
        if any(one.projection.seq for one in own):
            raise Refused("played", said("This player has a match that was written. The seat stays taken."))
        state = read_state(competition)
        uuid = uuid or uuids.uuid4()
        _enter(competition, state, [by], author, uuid)
    fields = {"stage": stage, "player": player, "by": by}
    if not do_record(competition, "replace", fields, author, uuid=uuid).known:
        do_advance(competition, [stage])


@transaction.atomic
def do_unlock(
    competition: Competition, stage: int, why: str, author: Author, *, uuid: uuids.UUID | None = None
) -> list[int]:
    """Let corrected results through; return the ids of the begun matches that are set aside.

    Raises Refused `not-held` where no correction waits, Malformed without a reason.
    """
    competition = hold(competition)
    if not why.strip():
        raise Malformed("why", said("Say why the bracket is unlocked."))
    stored = None if uuid is None else CompetitionEntry.objects.filter(uuid=uuid, kind="unlock").first()
    if stored is not None:
        return list(stored.data["matches"])
    found = read_stages(competition, stages=[stage])
    resolved = found[0].resolved if found else None
    if resolved is None or not resolved.held:
        raise Refused(
            "not-held", said("No corrected result waits here: the bracket stands as it was played.")
        )
    aside = list(resolved.disturbed)
    fields = {"stage": stage, "matches": aside, "why": why}
    recorded = do_record(competition, "unlock", fields, author, uuid=uuid)
    do_set_aside(aside, recorded.entry, why)
    do_advance(competition, [stage])
    return aside


@transaction.atomic
def do_add_pair(
    competition: Competition,
    stage: int,
    players: tuple[int, int],
    author: Author,
    *,
    uuid: uuids.UUID | None = None,
    format: Mapping[str, Any] | None = None,
    table: Any = None,
) -> Match:
    """Add a match to a free series; who is not entered yet is entered with it. The first named starts."""
    competition = hold(competition)
    uuid = uuid or uuids.uuid4()
    own = uuids.uuid5(uuid, "match")
    known = Match.objects.filter(uuid=own, competition=competition).first()
    if known is not None:
        return known
    state = read_state(competition)
    rows = Player.objects.in_bulk(players)
    if len(rows) < 2:
        raise Malformed("players", said("Two different players are needed."))
    _enter(competition, state, players, author, uuid)
    recorded = do_record(competition, "pair", {"stage": stage, "players": list(players)}, author, uuid=uuid)
    match = do_arrange_match(
        club=competition.club,
        players=(rows[players[0]], rows[players[1]]),
        competition=competition,
        group=Group.objects.get(stage=stage),
        format=format,
        table=table,
        uuid=own,
    )
    match.tie = recorded.state["stages"][str(stage)]["pairs"]
    match.save(update_fields=["tie"])
    return match
