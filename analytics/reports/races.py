"""The chance to win a race: both players play to their own distance, each with an own success rate.

Where every stroke of a player succeeds with the same p, the misses before the N-th point are
negative binomial, and those of two players are independent; who starts has the earlier last inning.
A whole match with sets stands in `race_formats`; the same by playing inning after inning, with how
long it takes, in `race_programme`. The closed form is derived here.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from .common import Floats, floats
from .race_laws import Pair, crossed, innings_to_look_at, last_opened, misses_before, points_within

# The success of an opening stroke, starter's and second player's; None: as any other stroke.
Opening = tuple[ArrayLike | None, ArrayLike | None]
AS_ANY: Opening = (None, None)


@dataclass(frozen=True)
class Rules:
    """What of a format decides a race. Pairs: who starts, then the second player.

    equalizing : the second player still has an inning once the starter has got there; in sets only
        where the starter needed one inning. opening_again : that inning, and the last one before
        an innings limit, begins from the opening position.
    """

    distance: tuple[int | None, int | None]
    equalizing: bool = True
    opening_again: bool = True
    innings_limit: int | None = None
    sets_to_win: int | None = None
    sets_alternate: bool = True

    def __post_init__(self) -> None:
        if any(far is not None and far < 1 for far in self.distance):
            raise ValueError(self.distance)
        if self.innings_limit is None and self.distance == (None, None):
            raise ValueError("a race has a distance or an innings limit")
        if self.sets_to_win is not None and None in self.distance:
            raise ValueError("a set is a race to a distance for both")

    @classmethod
    def of_format(cls, given: Mapping[str, Any], starter: int = 0, sets_alternate: bool = True) -> Rules:
        """Return the rules of a complete format; its distances stand in the order of the entrants.

        starter : which entrant starts, 0 or 1. sets_alternate : the rule set's `sets_alternate_start`.
        """
        first, second = given["distance"]
        return cls(
            (second, first) if starter else (first, second),
            bool(given["equalizing"]),
            given["equalizing_from"] == "opening",
            given["innings_limit"],
            given["sets_to_win"],
            sets_alternate,
        )

    def turned(self) -> Rules:
        """Return the same race with the other player starting."""
        return replace(self, distance=self.distance[::-1])

    def equalizes(self, inning: int) -> bool:
        """Whether the second player answers a starter who got there in an inning, counted from 1."""
        return self.equalizing and (self.sets_to_win is None or inning == 1)

    @property
    def reopens(self) -> bool:
        """Whether the last inning of the second player begins from the opening position."""
        return self.equalizing and self.opening_again


@dataclass(frozen=True)
class Score:
    """Where a race stands: pairs are who started it (or the set), then the second player.

    turn : who is at the table, 0 or 1. rounds : innings the second player has finished.
    opening : the next stroke starts from the opening position.
    """

    points: tuple[int, int] = (0, 0)
    turn: int = 0
    rounds: int = 0
    opening: bool = False
    sets: tuple[int, int] = (0, 0)

    def pointed(self, rules: Rules) -> Score:
        """Return the score after a point of the player at the table."""
        first, second = self.points
        made = (first + 1, second) if self.turn == 0 else (first, second + 1)
        after = replace(self, points=made, opening=False)
        return after.missed(rules) if made[self.turn] == rules.distance[self.turn] else after

    def missed(self, rules: Rules) -> Score:
        """Return the score after the inning of the player at the table."""
        if self.turn == 1:
            return replace(self, turn=0, rounds=self.rounds + 1, opening=False)
        reached = rules.distance[0] is not None and self.points[0] >= rules.distance[0]
        last = reached or self.rounds + 1 == rules.innings_limit
        opens = last and rules.opening_again and rules.equalizes(self.rounds + 1)
        return replace(self, turn=1, opening=opens)


START = Score(opening=True)


@dataclass(frozen=True)
class Chances:
    """The chances that the starter wins, nobody does, the second player does; they sum to 1.

    reached : that somebody gets to the distance before an innings limit.
    """

    starter: float
    draw: float
    second: float
    reached: float = 1.0

    @property
    def even(self) -> float:
        """The starter's chance where a draw counts as half."""
        return self.starter + self.draw / 2.0


@dataclass(frozen=True)
class Grid:
    """The same chances for X success rates of the starter (rows) and Y of the second player."""

    starter: Floats
    draw: Floats
    second: Floats
    reached: Floats

    @property
    def parts(self) -> tuple[Floats, Floats, Floats, Floats]:
        return self.starter, self.draw, self.second, self.reached

    @property
    def even(self) -> Floats:
        return self.starter + self.draw / 2.0


def race(
    p: tuple[float, float],
    rules: Rules,
    score: Score = START,
    opening: tuple[float | None, float | None] = (None, None),
) -> Chances:
    """Return the chances of a race, or of the set under way, from a score.

    p : success rates of starter and second player, between 0 and 1. opening : those of an opening
    stroke. Raises ValueError for rates outside, or a race too long to work out.
    """
    found = race_grid(p[0], p[1], rules, score, opening)
    return Chances(*(float(part[0, 0]) for part in found.parts))


def race_grid(
    first: ArrayLike, second: ArrayLike, rules: Rules, score: Score = START, opening: Opening = AS_ANY
) -> Grid:
    """Return the chances for all pairs of success rates, shapes (X,) and (Y,). Errors as `race`."""
    p = _rates(first), _rates(second)
    q = [
        None if one is None else np.broadcast_to(_rates(one), rate.shape)
        for one, rate in zip(opening, p, strict=True)
    ]
    return _opened(p, (q[0], q[1]), rules, score)


def _rates(values: ArrayLike) -> Floats:
    rates = np.atleast_1d(floats(values))
    if rates.ndim != 1 or not ((rates > 0.0) & (rates < 1.0)).all():
        raise ValueError("success rates lie between 0 and 1 and are never either")
    return rates


MaybePair = tuple[Floats | None, Floats | None]


def _opened(p: Pair, q: MaybePair, rules: Rules, score: Score) -> Grid:
    """Take an opening stroke first, where one is next and differs."""
    rate = q[score.turn] if score.opening else None
    if rate is None or _settled(rules, score) is not None:
        return _from_here(p, q[1], rules, score)
    share = rate[:, None] if score.turn == 0 else rate[None, :]
    made = _opened(p, q, rules, score.pointed(rules))
    missed = _opened(p, q, rules, score.missed(rules))
    starter, draw, second, reached = (
        share * point + (1.0 - share) * miss for point, miss in zip(made.parts, missed.parts, strict=True)
    )
    return Grid(starter, draw, second, reached)


def _settled(rules: Rules, score: Score) -> tuple[int, int] | None:
    """Return (outcome, reached) of a race that is over: outcome 1, 0, -1 for starter, draw, second."""
    there = [far is not None and made >= far for made, far in zip(score.points, rules.distance, strict=True)]
    if there[1]:
        return (0 if there[0] else -1), 1
    if there[0]:
        pending = score.turn == 1 and rules.equalizes(score.rounds + 1)
        return None if pending else (1, 1)
    if rules.innings_limit is not None and score.rounds >= rules.innings_limit:
        return int(_ahead(rules, np.array([score.points[0]]), np.array([score.points[1]]))[0, 0]), 0
    return None


def _ahead(rules: Rules, first: np.ndarray, second: np.ndarray) -> np.ndarray:
    """Return 1, 0, -1 for all pairs of points at an innings limit: shares of the own distance, crosswise."""
    far = rules.distance
    if far[0] is not None and far[1] is not None:
        first, second = first * far[1], second * far[0]
    return np.sign(first[:, None] - second[None, :])


def _from_here(p: Pair, reopened: Floats | None, rules: Rules, score: Score) -> Grid:
    """Return the chances where the next stroke is as any other; `reopened`: the second player's opening."""
    shape = (len(p[0]), len(p[1]))
    over = _settled(rules, score)
    if over is not None:
        starter, draw, second = (np.full(shape, float(over[0] == side)) for side in (1, 0, -1))
        return Grid(starter, draw, second, np.full(shape, float(over[1])))
    need = [
        None if far is None else far - made for far, made in zip(rules.distance, score.points, strict=True)
    ]
    if need[0] is not None and need[0] <= 0:
        level = np.zeros(shape[1]) if need[1] is None else p[1] ** need[1]
        draw = np.broadcast_to(level[None, :], shape)
        return Grid(1.0 - draw, draw, np.zeros(shape), np.ones(shape))
    again = reopened if rules.reopens else None
    if rules.innings_limit is None:
        return _by_distance(p, again, rules, score, need, innings_to_look_at(need, p))
    limit = rules.innings_limit - score.rounds
    # The inning under way has begun already; a later last one begins from the opening position.
    last_opens = rules.equalizes(rules.innings_limit) and (limit > 1 or score.turn == 0)
    last = again if last_opens else None
    by_distance = _by_distance(p, again, rules, score, need, limit - score.turn, last)
    ours, theirs = points_within(limit - score.turn, p[0], need[0]), last_opened(limit, p[1], last, need[1])
    made, others = np.arange(ours.shape[1]), np.arange(theirs.shape[1])
    ahead = _ahead(rules, score.points[0] + made, score.points[1] + others)
    starter, draw, second = (
        crossed(crossed(ours, (ahead == side).astype(float).T), theirs) for side in (1, 0, -1)
    )
    return Grid(
        by_distance.starter + starter,
        by_distance.draw + draw,
        by_distance.second + second,
        np.clip(1.0 - ours.sum(axis=1)[:, None] * theirs.sum(axis=1)[None, :], 0.0, 1.0),
    )


def _by_distance(
    p: Pair,
    again: Floats | None,
    rules: Rules,
    score: Score,
    need: list[int | None],
    size: int,
    last: Floats | None = None,
) -> Grid:
    """Return the chances to win by getting there in time, the starter within `size` innings.

    again, last : success of the first stroke of the second player's answer, and of his last inning.
    """
    late = score.turn
    mine, mine_after = misses_before(need[0], p[0], size)
    yours, yours_after = misses_before(need[1], p[1], size + late)
    first = score.rounds + late + 1
    answered = np.array([rules.equalizes(first + at) for at in range(size)], dtype=float)
    # The second player in the inning in which the starter gets there, and not there before it.
    answer = yours[:, late:] * answered * (1.0 if again is None else (again / p[1])[:, None])
    before = np.hstack([np.ones((len(p[1]), 1)), yours_after])[:, late : late + size]
    if last is not None:
        yours = np.hstack([yours[:, :-1], yours[:, -1:] * (last / p[1])[:, None]])
    waiting = np.hstack([np.ones((len(p[0]), late)), mine_after])
    starter = crossed(mine, before - answer)
    return Grid(starter, crossed(mine, answer), crossed(waiting, yours), np.ones_like(starter))
