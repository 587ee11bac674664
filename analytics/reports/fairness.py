"""Distances at which a match is even, beside the distances that clubs' rules give.

A distance in proportion to the average is fair to within a few points in a hundred; what is added
to it, or a least distance, is paid by the weaker player. All chances are told for an open lag with
a draw as half, so that playing with or without the equalizing inning makes no difference.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from scoring.rules.handicaps import METHODS, Method, distance_from_average
from scoring.rules.said import Said

from .common import Floats
from .races import Rules, race_grid

# Distances are set up to this.
LONGEST = 1000


def rate(points: int, innings: int) -> float:
    """Return the success rate that belongs to an average, a / (1 + a). Raises ValueError without points."""
    if points < 1 or innings < 1:
        raise ValueError((points, innings))
    return points / (points + innings)


def chance(p: tuple[float, float], distance: tuple[int, int]) -> float:
    """Return the chance of the second named where the lag is open and a draw counts as half."""
    rules = Rules(distance)
    one, other = race_grid(p[0], p[1], rules), race_grid(p[1], p[0], rules.turned())
    return 1.0 - float((one.even + 1.0 - other.even.T)[0, 0]) / 2.0


def by_distance(p: tuple[float, float], distance_first: int, distances: Sequence[int]) -> Floats:
    """Return the chance of the second named for each of his distances, the first named's standing."""
    return np.array([chance(p, (distance_first, far)) for far in distances])


@dataclass(frozen=True)
class FairDistance:
    """The distance that comes nearest to an even chance, the chance it gives, and a point beside it.

    chance, one_more, one_less : of the player whose distance it is; one_less is None at distance 1.
    """

    distance: int
    chance: float
    one_more: float
    one_less: float | None


def fair_distance(p: tuple[float, float], distance_first: int) -> FairDistance:
    """Return the fair distance of the second named against a distance of the first named.

    Raises ValueError for rates outside 0 to 1, a distance below 1, or if even 1,000 points would favour
    the second named.
    """
    low, high = 1, LONGEST
    if chance(p, (distance_first, high)) > 0.5:
        raise ValueError("no distance makes this even")
    while low < high:  # the least distance that gives him no more than an even chance
        middle = (low + high) // 2
        if chance(p, (distance_first, middle)) > 0.5:
            low = middle + 1
        else:
            high = middle
    near = {far: chance(p, (distance_first, far)) for far in range(max(1, low - 2), low + 2)}
    best = min((far for far in (low - 1, low) if far in near), key=lambda far: abs(near[far] - 0.5))
    return FairDistance(best, near[best], near[best + 1], near.get(best - 1))


@dataclass(frozen=True)
class UnderRule:
    """What a handicap rule makes of two averages: distances, their working, the second named's chance.

    fair : the fair distance of the second named against the first named's under this rule.
    """

    code: str
    name: str
    source: str
    distance: tuple[int, int]
    working: tuple[tuple[Said, ...], tuple[Said, ...]]
    chance: float
    fair: FairDistance


def under_rules(
    averages: tuple[tuple[int, int], tuple[int, int]],
    p: tuple[float, float] | None = None,
    methods: Iterable[Method] | None = None,
) -> list[UnderRule]:
    """Return what each rule for averages makes of two players, (points, innings) each.

    p : success rates where points per miss are known better than by the average; default a / (1 + a).
    methods : default all published ones that begin with an average. Raises ValueError without points.
    """
    rates = p or (rate(*averages[0]), rate(*averages[1]))
    found = []
    for method in METHODS.values() if methods is None else methods:
        if method.base != "average":
            continue
        made = [distance_from_average(method, *one) for one in averages]
        far = (made[0].distance or 1, made[1].distance or 1)
        found.append(
            UnderRule(
                method.code,
                method.name,
                method.source,
                far,
                (made[0].working, made[1].working),
                chance(rates, far),
                fair_distance(rates, far[0]),
            )
        )
    return found


def rule_chances(method: Method, averages: Sequence[tuple[int, int]]) -> Floats:
    """Return the chance of each player (rows) against each (columns) under a handicap rule.

    averages : (points, innings) of each, shape (K,); a player against himself has 0.5. Raises
    ValueError without points.
    """
    rates = [rate(*one) for one in averages]
    far = [distance_from_average(method, *one).distance or 1 for one in averages]
    table = np.full((len(rates), len(rates)), 0.5)
    for row in range(len(rates)):
        for column in range(row):
            table[column, row] = chance((rates[row], rates[column]), (far[row], far[column]))
            table[row, column] = 1.0 - table[column, row]
    return table
