"""What a player had best practise next, a session of it, and what came of the sessions so far.

What is within reach of a family is what the aim calculator promised the player's own hands there;
where it promised too little, what the better of the club's players of a like average make; else
nothing is advised.
"""

from __future__ import annotations

import datetime
from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from analytics.club_figures import Others, others_of
from analytics.models import Prediction
from analytics.report import Report
from analytics.reports.families import Row
from analytics.reports.played import FAMILY_NAMES, Played
from analytics.reports.practising import (
    Advice,
    Block,
    Item,
    Progress,
    Session,
    advise,
    of_club,
    of_predictions,
    progress,
    propose,
)
from analytics.reports.trying import Trying, read_strokes
from analytics.reports.wording import FOR_ESTIMATE
from scoring.models import Attempt, PracticePosition

# Fewer promises than this say nothing of what is within reach.
LEAST_PROMISED = 10
# Strokes of a proposed session.
STROKES = 40
# Attempts at a family after which matches are looked at for what came of it.
LEAST_TRIED = 10


@dataclass(frozen=True)
class Position:
    """A position as it was practised: attempts, points, what was promised of them on the whole."""

    position: PracticePosition
    tried: int
    made: int
    promised: float | None


@dataclass(frozen=True)
class Followed:
    """What came of practising a family: when it began, attempts at it, points gained before and after."""

    family: str
    since: datetime.date
    tried: int
    made: int
    progress: Progress | None


@dataclass(frozen=True)
class Practise:
    """The advice of a report. reach: family -> "hands" or "club", what its reach was taken from.

    advice : by family; positions : by position, of those practised. left_out : families with strokes
    for a rate, of which nothing tells what is within reach.
    """

    advice: Advice | None
    reach: Mapping[str, str]
    left_out: tuple[str, ...]
    strokes: int
    session: Session | None
    positions: tuple[Position, ...]
    of_positions: Advice | None
    followed: tuple[Followed, ...]


@dataclass(frozen=True)
class Items:
    """The families that can be advised on, by name, with what their reach was taken from, and those left out."""

    items: dict[str, Item]
    reach: dict[str, str]
    left_out: tuple[str, ...]


def find_items(played: Played, trying: Trying, others: Others) -> Items:
    """Return what can be practised, of what was played and tried, beside the others of the club."""
    found = Items({}, {}, ())
    if trying.families.withheld:
        return found
    promised = _promised(played, trying)
    innings = played.innings
    own = innings.points / innings.misses if innings.misses else 0.0
    left_out = []
    for row in trying.families.rows:
        if row.attempts < FOR_ESTIMATE or row.shrunken is None:
            continue
        reach = _attainable(row, promised.get(row.family), others, own)
        if reach is None:
            left_out.append(row.family)
        else:
            found.reach[row.family] = reach[0]
            found.items[row.family] = _item(row, *reach[1:])
    return Items(found.items, found.reach, tuple(left_out))


def read_practise(report: Report, seed: int, attempts: bool = True) -> Practise:
    """Return the advice. seed: of the proposed session; attempts: whether the reader may see practice."""
    families = report.trying.families
    others = others_of(report.asked.discipline or "", {report.player.pk})
    found = find_items(report.played, report.trying, others)
    items = found.items
    positions = _positions(report) if attempts else ()
    return Practise(
        advice=advise(list(items.values()), seed=0) if items else None,
        reach=found.reach,
        left_out=found.left_out,
        strokes=sum(row.attempts for row in families.rows),
        session=propose(list(items.values()), STROKES, seed) if items else None,
        positions=positions,
        of_positions=_advise_positions(positions, items),
        followed=_followed(report) if attempts else (),
    )


def plan_of(
    blocks: Sequence[Block], positions: Sequence[PracticePosition], seed: int
) -> list[dict[str, Any]]:
    """Return a session's plan: each block's strokes over the positions of its family, two at most.

    A family of which no position is known is left out.
    """
    rng = np.random.default_rng(seed)
    plan = []
    for block in blocks:
        fitting = [one for one in positions if one.family == block.name]
        if not fitting:
            continue
        chosen = rng.permutation(len(fitting))[:2].tolist()
        for part, at in enumerate(sorted(chosen)):
            repetitions = block.repetitions // len(chosen) + (part < block.repetitions % len(chosen))
            goal = max(1, round(block.goal * repetitions / block.repetitions))
            plan.append({"position": fitting[at].pk, "repetitions": repetitions, "goal": goal})
    return plan


def _item(row: Row, attainable: float, error: float) -> Item:
    known = row.shrunken
    if known is None:
        raise ValueError(row.family)
    a = row.points + known.prior * known.weight
    b = row.attempts - row.points + (1.0 - known.prior) * known.weight
    return Item(row.family, row.share, a, b, attainable, error)


def _attainable(
    row: Row, promised: np.ndarray | None, others: Others, own: float
) -> tuple[str, float, float] | None:
    """Return what the reach was taken from, the reach and its error; None where nothing tells it."""
    if promised is not None and promised.size >= LEAST_PROMISED:
        return ("hands", *of_predictions(promised))
    if not others.attempts.size:
        return None
    at = FAMILY_NAMES.index(row.family)
    points, attempts = others.points[:, at], others.attempts[:, at]
    told = attempts >= FOR_ESTIMATE
    if not told.any():
        return None
    pooled = float(points[told].sum() / attempts[told].sum())
    weight = row.shrunken.weight if row.shrunken else 40.0
    rates = (points[told] + pooled * weight) / (attempts[told] + weight)
    best = of_club(rates, others.averages[told], own)
    return None if best is None else ("club", best, 0.0)


def _promised(played: Played, trying: Trying) -> dict[str, np.ndarray]:
    """Return family -> promises made in time, of the line that has more of them."""
    if trying.line is None:
        return {}
    strokes = read_strokes(played)
    told = strokes.in_time(trying.line)
    return {name: strokes.promised[told & (strokes.family == code)] for code, name in enumerate(FAMILY_NAMES)}


# --- practice ------------------------------------------------------------------


def _attempts(report: Report) -> list[tuple[Any, ...]]:
    """Return the player's attempts that stand: uuid, position, family, made, day; the earliest first."""
    rows = Attempt.objects.filter(
        session__player__in=report.players,
        session__discipline_code=report.asked.discipline,
        struck_by__isnull=True,
    ).order_by("dated_at", "order")
    return list(
        rows.values_list("uuid", "position", "position__family", "family_tried", "outcome", "dated_at")
    )


def _positions(report: Report) -> tuple[Position, ...]:
    rows = _attempts(report)
    kept = list(
        Prediction.objects.filter(attempt_uuid__in=[row[0] for row in rows]).values_list(
            "attempt_uuid", "success", "model"
        )
    )
    # Two models are never pooled.
    newest = max((model for _, _, model in kept), default=0)
    promises = {uuid: success for uuid, success, model in kept if model == newest}
    tried: dict[int, list[tuple[bool, float | None]]] = defaultdict(list)
    for uuid, position, _of_position, _family, outcome, _dated in rows:
        if position is not None:
            tried[position].append((outcome == Attempt.Outcome.MADE, promises.get(uuid)))
    known = PracticePosition.objects.in_bulk(tried)
    found = []
    for pk, each in tried.items():
        told = [promise for _made, promise in each if promise is not None]
        found.append(
            Position(
                known[pk], len(each), sum(made for made, _ in each), sum(told) / len(told) if told else None
            )
        )
    return tuple(sorted(found, key=lambda one: -one.tried))


def _advise_positions(positions: Collection[Position], items: Mapping[str, Item]) -> Advice | None:
    """Return the advice by position: a family's share of strokes is shared by its positions alike."""
    told = [
        one
        for one in positions
        if one.tried >= FOR_ESTIMATE and one.position.family in items and one.promised is not None
    ]
    of_family: dict[str, int] = defaultdict(int)
    for one in told:
        of_family[str(one.position.family)] += 1
    found = [
        Item(
            str(one.position.pk),
            items[str(one.position.family)].share / of_family[str(one.position.family)],
            one.made + 0.5,
            one.tried - one.made + 0.5,
            float(one.promised or 0.0),
        )
        for one in told
    ]
    return advise(found) if found else None


def _followed(report: Report) -> tuple[Followed, ...]:
    """Return what came of each family that was practised: promises in matches before and since."""
    tried: dict[str, list[tuple[datetime.datetime, bool]]] = defaultdict(list)
    for _uuid, _position, of_position, family, outcome, dated in _attempts(report):
        name = of_position or family
        if name in FAMILY_NAMES:
            tried[name].append((dated, outcome == Attempt.Outcome.MADE))
    if not tried:
        return ()
    return tuple(
        Followed(
            name,
            each[0][0].date(),
            len(each),
            sum(made for _, made in each),
            _progress(report, name, each[0][0]),
        )
        for name, each in sorted(tried.items(), key=lambda one: -len(one[1]))
        if len(each) >= LEAST_TRIED
    )


def _progress(report: Report, family: str, since: datetime.datetime) -> Progress | None:
    """Return the change since the first attempt; None with too few promises on a side."""
    line = report.trying.line
    if line is None:
        return None
    played = report.played
    days = played.matches["date"].to_numpy()[played.of[played.single]]
    strokes = read_strokes(played)
    told = strokes.in_time(line) & (strokes.family == FAMILY_NAMES.index(family))
    later = days >= np.datetime64(since.date())
    sides = []
    for side in (told & ~later, told & later):
        if int(side.sum()) < FOR_ESTIMATE:
            return None
        at = np.flatnonzero(side)
        sides.append((strokes.promised[at], strokes.made[at].astype(float)))
    return progress(sides[0], sides[1])
