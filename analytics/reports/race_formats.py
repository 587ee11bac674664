"""Whole matches: races in sets, extra innings after a draw, and how many innings are to be expected."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from .common import Floats
from .races import AS_ANY, START, Chances, Grid, Opening, Rules, Score, race, race_grid

# Chances that the first of two wins a match, by sets won of both and who starts the next set.
Wins = Mapping[tuple[int, int, int], Floats]


def match(
    p: tuple[float, float],
    rules: Rules,
    score: Score = START,
    opening: tuple[float | None, float | None] = (None, None),
) -> Chances:
    """Return the chances of a match under its own format, sets included, from a score.

    The starter is who started the set under way. Without sets, the race itself. Raises ValueError
    for success rates outside 0 to 1, a match that is won already, or a race too long to work out.
    """
    if rules.sets_to_win is None:
        return race(p, rules, score, opening)
    found = _with_sets(race_grid(p[0], p[1], rules, score, opening), _wins(p, rules, opening), rules, score)
    return Chances(*(float(part[0, 0]) for part in found.parts))


@lru_cache(maxsize=64)
def _wins(p: tuple[float, float], rules: Rules, opening: tuple[float | None, float | None]) -> Wins:
    """Keep what a match through many scores asks for again and again."""
    return _by_sets(p[0], p[1], rules, opening)


def match_grid(
    first: ArrayLike, second: ArrayLike, rules: Rules, score: Score = START, opening: Opening = AS_ANY
) -> Grid:
    """Return `match` for all pairs of success rates, shapes (X,) and (Y,)."""
    now = race_grid(first, second, rules, score, opening)
    if rules.sets_to_win is None:
        return now
    return _with_sets(now, _by_sets(first, second, rules, opening), rules, score)


def _with_sets(now: Grid, wins: Wins, rules: Rules, score: Score) -> Grid:
    """Return the chances of the match from those of the set under way."""
    if max(score.sets) >= (rules.sets_to_win or 1):
        raise ValueError("the match is won")
    won, lost = score.sets
    following = int(rules.sets_alternate)
    chance = (
        now.starter * wins[won + 1, lost, following]
        + now.draw * wins[won, lost, following]
        + now.second * wins[won, lost + 1, following]
    )
    return Grid(chance, np.zeros_like(chance), 1.0 - chance, np.ones_like(chance))


def _by_sets(first: ArrayLike, second: ArrayLike, rules: Rules, opening: Opening) -> Wins:
    """Work back from won matches; a drawn set is nobody's, and the next one follows."""
    one = race_grid(first, second, rules, START, opening)
    other = race_grid(second, first, rules.turned(), START, opening[::-1])
    # For the first of both: set won, drawn, lost, where he starts it and where he does not.
    sets = ((one.starter, one.draw, one.second), (other.second.T, other.draw.T, other.starter.T))
    goal = rules.sets_to_win or 1
    wins: dict[tuple[int, int, int], Floats] = {}
    for starts in (0, 1):
        for some in range(goal):
            wins[goal, some, starts] = np.ones_like(one.draw)
            wins[some, goal, starts] = np.zeros_like(one.draw)
    for won, lost in sorted(np.ndindex(goal, goal), reverse=True):
        ahead = [
            win * wins[won + 1, lost, after] + loss * wins[won, lost + 1, after]
            for after, (win, _, loss) in zip((1, 0) if rules.sets_alternate else (0, 1), sets, strict=True)
        ]
        for starts in (0, 1):
            if rules.sets_alternate:
                again = ahead[starts] + sets[starts][1] * ahead[1 - starts]
                wins[won, lost, starts] = again / (1.0 - sets[0][1] * sets[1][1])
            else:
                wins[won, lost, starts] = ahead[starts] / (1.0 - sets[starts][1])
    return wins


def shoot_out(
    p: tuple[float, float],
    opening: tuple[float | None, float | None] = (None, None),
    runs: tuple[int, int] = (0, 0),
    turn: int = 0,
    begun: bool = False,
) -> tuple[Chances, float]:
    """Return the chances of one round of extra innings, and the first player's chance in the end.

    A round is one inning each; equal rounds are followed by another. p : success rates; opening :
    those of the first stroke of an inning, where it starts from the opening position. From within
    a round: its runs so far, whose turn it is, and whether his inning has begun. From the start
    p0 (1 - p1) stands against p1 (1 - p0). Raises ValueError for rates outside 0 to 1.
    """
    fresh = _fresh(p, opening)
    if not all(0.0 < rate < 1.0 for rate in (*p, *fresh)):
        raise ValueError((p, opening))
    first = list(fresh)
    if begun:
        first[turn] = p[turn]
    now = _round(p, (first[0], first[1]), runs, turn)
    anew = _round(p, fresh, (0, 0), 0)
    return now, now.starter + now.draw * anew.starter / (anew.starter + anew.second)


def _fresh(p: tuple[float, float], opening: tuple[float | None, float | None]) -> tuple[float, float]:
    """Return the success of the first stroke of an extra inning."""
    first, second = (rate if own is None else own for rate, own in zip(p, opening, strict=True))
    return first, second


def _round(p: tuple[float, float], first: tuple[float, float], runs: tuple[int, int], turn: int) -> Chances:
    """Return the chances of the rest of a round; `first`: success of each player's next first stroke."""
    if turn == 1:
        return _reply(p[1], first[1], runs[0] - runs[1])
    # The second player has to reach what the first adds: k more points, first and then alike.
    missed = _reply(p[1], first[1], runs[0])
    level, behind = missed.draw, missed.second
    # After each further point of the first, drawing and passing are p1 times as likely.
    at_one = _reply(p[1], first[1], runs[0] + 1)
    share = first[0] * (1.0 - p[0]) / (1.0 - p[0] * p[1])
    draw = (1.0 - first[0]) * level + share * at_one.draw
    second = (1.0 - first[0]) * behind + share * at_one.second
    return Chances(1.0 - draw - second, draw, second)


def _reply(p: float, first: float, lead: int) -> Chances:
    """Return what the second player's inning makes of a lead, 0 or more to be made up."""
    if lead < 0:
        return Chances(0.0, 0.0, 1.0)
    passed = first * p**lead
    reached = first * p ** (lead - 1) if lead else 1.0
    return Chances(1.0 - reached, reached - passed, passed)


def decided(chances: Chances, first_wins: float) -> Chances:
    """Return the chances where a draw is played off, won by the starter with `first_wins`."""
    return replace(
        chances,
        starter=chances.starter + chances.draw * first_wins,
        draw=0.0,
        second=chances.second + chances.draw * (1.0 - first_wins),
    )
