"""A race inning after inning: the same chances as the closed form, and how long it takes.

Points to go of both stand in a table of probabilities; each inning moves them. Derived here, without
the negative binomial law, so that either method can be held against the other.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .common import Floats
from .races import START, Chances, Rules, Score

# The programme ends when less than this is undecided.
UNDECIDED = 1e-13
LONGEST_PROGRAMME = 100_000


@dataclass(frozen=True)
class Played:
    """Chances, and the chance that the race ends in its 1st, 2nd, ... inning, from where it stands.

    lengths : shape (innings,); of a pair of innings, which the starter's begins.
    """

    chances: Chances
    lengths: Floats

    @property
    def expected(self) -> float:
        """The expected number of innings."""
        return float(self.lengths @ np.arange(1, len(self.lengths) + 1))


def play_out(
    p: tuple[float, float],
    rules: Rules,
    score: Score = START,
    opening: tuple[float | None, float | None] = (None, None),
) -> Played:
    """Return what comes of a race, or of the set under way, played on from an undecided score.

    Both need a distance. Raises ValueError for rates outside 0 to 1, a distance that is missing or
    already made, or a race of more than 100,000 innings.
    """
    if not all(0.0 < rate < 1.0 for rate in p) or None in rules.distance:
        raise ValueError((p, rules.distance))
    need = [far - made for far, made in zip(rules.distance, score.points, strict=True) if far is not None]
    if min(need) < 1 or (rules.innings_limit is not None and score.rounds >= rules.innings_limit):
        raise ValueError("the race is decided")
    moves = [_inning(far, rate, None) for far, rate in zip(need, p, strict=True)]
    opens = [_inning(far, rate, q) for far, rate, q in zip(need, p, opening, strict=True)]
    won = drawn = lost = 0.0
    table = np.zeros((need[0] + 1, need[1] + 1))
    table[need[0], need[1]] = 1.0
    lengths: list[float] = []
    rounds, turn, opened = score.rounds, score.turn, score.opening
    left = 1.0
    while left > UNDECIDED and rounds != rules.innings_limit:
        if len(lengths) >= LONGEST_PROGRAMME:
            raise ValueError("the race is too long to be played out")
        last_round = rounds + 1 == rules.innings_limit
        answered = rules.equalizes(rounds + 1)
        if turn == 0:
            table = (opens if opened else moves)[0].T @ table
            # Points that the second player makes at once to draw level.
            level = (opens if rules.reopens else moves)[1][:, 0] if answered else np.zeros(need[1] + 1)
            drawn += float(table[0] @ level)
            won += float(table[0] @ (1.0 - level))
            table[0] = 0.0
            opened = last_round and answered and rules.opening_again
        table = table @ (opens if opened else moves)[1]
        lost += float(table[:, 0].sum())
        table[:, 0] = 0.0
        turn, opened, rounds = 0, False, rounds + 1
        lengths.append(left - float(table.sum()))
        left = float(table.sum())
    if rounds == rules.innings_limit:
        lengths[-1] += left
        ahead = _ahead_at_limit(rules, need)
        won, drawn, lost = (
            so_far + float(table[ahead == side].sum()) for so_far, side in ((won, 1), (drawn, 0), (lost, -1))
        )
        return Played(Chances(won, drawn, lost, 1.0 - left), np.array(lengths))
    return Played(Chances(won, drawn, lost, 1.0), np.array(lengths))


def _inning(need: int, p: float, first: float | None) -> Floats:
    """Return how an inning moves the points to go: rows from, columns to, shape (need + 1, need + 1)."""
    steps = np.subtract.outer(np.arange(need + 1), np.arange(need + 1))
    move = np.where(steps >= 0, (1.0 - p) * p ** np.maximum(steps, 0), 0.0)
    move[:, 0] = p ** np.arange(need + 1)
    if first is None:
        return move
    opened = np.zeros_like(move)
    opened[0, 0] = 1.0
    opened[1:] = first * move[:-1]
    opened[1:] += (1.0 - first) * np.eye(need + 1)[1:]
    return opened


def _ahead_at_limit(rules: Rules, need: list[int]) -> np.ndarray:
    """Return who has the greater share of the own distance, by points to go: 1, 0, -1."""
    first, second = (far for far in rules.distance if far is not None)
    made = [far - np.arange(left + 1) for far, left in zip((first, second), need, strict=True)]
    return np.sign(made[0][:, None] * second - made[1][None, :] * first)
