"""Seasons of strokes as rows, for benchmarks of what is read: no ledger stands behind them.

Each match has 60 strokes of either player at p = 0.4, with a family each and a prediction for every
second stroke of the player who is asked about. Rows are those that the ledger would have projected.
"""

from __future__ import annotations

import datetime
import random
import uuid
from collections.abc import Iterator

from django.utils import timezone

from analytics.models import FollowedMatch, Prediction
from analytics.reports.spread_learning import NODES
from scoring.arrange import do_arrange_match
from scoring.models import (
    Club,
    ColourProjection,
    Match,
    MatchProjection,
    Player,
    StrokeProjection,
)

STROKES = 60
SUCCESS = 0.4
FAMILIES = ("around-the-table", "bank", "ticky", "umbrella", "short-angle", "long-angle", "rail-first")
AT_ONCE = 200


def players(count: int) -> list[Player]:
    """Return new players."""
    return [Player.objects.enrol("Ada", f"Bench {uuid.uuid4().hex[:8]}") for _ in range(count)]


def fill(one: Player, other: Player, strokes: int, seed: int, *, predicted: bool) -> None:
    """Write matches of two players until the first has so many strokes."""
    dice = random.Random(seed)
    pattern = do_arrange_match(
        club=Club.objects.the_first(),
        players=(one, other),
        discipline="three-cushion",
        format={"distance": [999, 999]},
    )
    for size in _parts(strokes // STROKES):
        _write(pattern, size, dice, predicted)
    MatchProjection.objects.filter(match=pattern).delete()
    ColourProjection.objects.filter(match=pattern).delete()
    pattern.delete()


def _parts(whole: int) -> Iterator[int]:
    for begin in range(0, whole, AT_ONCE):
        yield min(AT_ONCE, whole - begin)


def _write(pattern: Match, size: int, dice: random.Random, predicted: bool) -> None:
    columns = {
        field.attname: getattr(pattern, field.attname)
        for field in Match._meta.concrete_fields
        if field.name not in ("id", "uuid")
    }
    matches = Match.objects.bulk_create(Match(uuid=uuid.uuid4(), **columns) for _ in range(size))
    projections, colours, rows, told, followed = [], [], [], [], []
    for match in matches:
        begun = timezone.now() - datetime.timedelta(days=dice.uniform(1, 900))
        sides = {"white": pattern.entrant_a_id, "yellow": pattern.entrant_b_id}
        projections.append(_projection(match, sides, begun))
        for shift, (colour, player) in enumerate(sides.items()):
            made = [dice.random() < SUCCESS for _ in range(STROKES - 1)] + [False]
            own = list(_strokes(match, colour, player, made, begun, shift, dice))
            rows += own
            colours.append(_sums(match, colour, player, made))
            if predicted and shift == 0:
                told += [_prediction(match, row.place, dice) for row in own[::2]]
        followed.append(FollowedMatch(match=match, seq=2 * STROKES + 1, kept=STROKES // 2 * predicted))
    MatchProjection.objects.bulk_create(projections)
    ColourProjection.objects.bulk_create(colours)
    StrokeProjection.objects.bulk_create(rows, batch_size=2_000)
    Prediction.objects.bulk_create(told, batch_size=1_000)
    FollowedMatch.objects.bulk_create(followed)


def _projection(match: Match, sides: dict[str, int], begun: datetime.datetime) -> MatchProjection:
    return MatchProjection(
        match=match,
        seq=2 * STROKES + 1,
        play_seq=2 * STROKES + 1,
        status=MatchProjection.Status.CONFIRMED,
        white_id=sides["white"],
        yellow_id=sides["yellow"],
        state={},
        started_at=begun,
        ended_at=begun + datetime.timedelta(hours=1),
        last_at=begun + datetime.timedelta(hours=1),
    )


def _strokes(
    match: Match,
    colour: str,
    player: int,
    made: list[bool],
    begun: datetime.datetime,
    shift: int,
    dice: random.Random,
) -> Iterator[StrokeProjection]:
    inning = 1
    for at, point in enumerate(made):
        place = 2 * at + shift + 2
        yield StrokeProjection(
            match=match,
            place=place,
            seq=place,
            order=place,
            inning=inning,
            colour=colour,
            player_id=player,
            kind="point" if point else "miss",
            run=int(point),
            family_tried=dice.choice(FAMILIES),
            details={"layout": {}} if at % 2 == 0 else None,
            dated_at=begun + datetime.timedelta(seconds=30 * at),
        )
        inning += not point


def _sums(match: Match, colour: str, player: int, made: list[bool]) -> ColourProjection:
    runs = [len(part) for part in "".join("1" if one else "0" for one in made).split("0")]
    return ColourProjection(
        match=match,
        colour=colour,
        player_id=player,
        points=sum(made),
        score=sum(made),
        innings=made.count(False),
        high_run=max(runs),
        distance=999,
    )


def _prediction(match: Match, place: int, dice: random.Random) -> Prediction:
    success = dice.uniform(0.1, 0.8)
    return Prediction(
        match=match,
        place=place,
        kind="blind",
        source="declared",
        layout={},
        cue_ball="white",
        line={},
        discipline="three-cushion",
        parameters={},
        spread=1.0,
        success=success,
        stderr=0.01,
        hits=[],
        grid=[success for _ in NODES],
        strokes=1024,
        model=1,
        kernels="",
    )
