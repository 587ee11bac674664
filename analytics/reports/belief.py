"""Does the aim calculator deserve belief? One answer for each kind of promise, in words and in figures.

Promises told before, with and after the stroke, and those of the declared and of the best line, are
judged apart: they are never pooled. How much is told depends on how many strokes there are
(`recalibrating.shows`). Where several players are behind the strokes, whatever has an interval is
found again among players drawn anew, because strokes of one player stray together. A handful of
players drawn anew strays by less than chance alone: no interval is narrower than that of the strokes.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scoring.rules.said import Said

from .calibration import ByChance, Corp, Diagram, Rule, by_chance, by_tenths, corp, diagram
from .common import OF_RATES, Floats, Interval, chances, normal_quantile, of_draws, outcomes, seeded
from .played import SOURCES, TOLD
from .promises import Promise, promise
from .recalibrating import (
    CLUB_DRAWS,
    Club,
    InTheLarge,
    Recalibration,
    Shows,
    Verdict,
    club,
    in_the_large,
    recalibrate,
    shows,
    told,
    verdict,
)

RULES: tuple[Rule, ...] = ("brier", "log")
# Promises of a club are read at so many places.
PLACES = 100
NEWTON = 30
# Slopes of drawn clubs stay within; beyond, hardly any promise differs from another.
STEEPEST = 10.0


@dataclass(frozen=True)
class Promised:
    """Strokes with a promise, as arrays of one length; told, source: indices of TOLD and SOURCES.

    players : whose stroke each is, as a number.
    """

    promised: Floats
    made: NDArray[np.bool_]
    told: NDArray[np.uint8]
    source: NDArray[np.uint8]
    players: NDArray[np.int64]

    def of(self, kind: str, line: str) -> NDArray[np.bool_]:
        """Return which strokes have a promise of this kind, about this line."""
        return (self.told == TOLD.index(kind)) & (self.source == SOURCES.index(line))


@dataclass(frozen=True)
class Belief:
    """What came of promises of one kind, about one line.

    found, words : what may be said, counts first. tenths : by "about k in 10". large, both : None
    where there are too few strokes, or no fit. scores, chance : by rule, of 100 strokes on; diagram from
    400. club : how the sum held among players drawn anew, of_slope the slope; None for one player.
    """

    kind: str
    line: str
    players: int
    promise: Promise
    found: Verdict
    words: Said
    tenths: Mapping[int, Promise]
    large: InTheLarge | None = None
    both: Recalibration | None = None
    scores: Mapping[str, Corp] | None = None
    chance: Mapping[str, ByChance] | None = None
    diagram: Diagram | None = None
    club: Club | None = None
    of_slope: Interval | None = None

    @property
    def strokes(self) -> int:
        return self.promise.strokes

    @property
    def shown(self) -> Shows:
        """What so many strokes allow to be shown."""
        return shows(self.strokes)


def beliefs(strokes: Promised, level: float = OF_RATES) -> list[Belief]:
    """Return a belief for each kind and line that has strokes: blind first, the declared line first."""
    found = []
    for kind in TOLD[1:]:
        for line in SOURCES[1:]:
            these = strokes.of(kind, line)
            if these.any():
                found.append(
                    belief(
                        kind,
                        line,
                        strokes.promised[these],
                        strokes.made[these],
                        strokes.players[these],
                        level,
                    )
                )
    return found


def belief(
    kind: str,
    line: str,
    promised: ArrayLike,
    made: ArrayLike,
    players: ArrayLike | None = None,
    level: float = OF_RATES,
) -> Belief:
    """Return what came of promises (n,) within 0 to 1 exclusive; made (n,) 0 or 1; players (n,) or None.

    Raises ValueError for other values, other lengths, or no stroke.
    """
    p = chances(promised)
    o = outcomes(made, p)
    who = np.zeros(p.size, dtype=np.int64) if players is None else np.asarray(players)
    if who.shape != p.shape:
        raise ValueError("one player for each stroke")
    count = int(np.unique(who).size)
    summed, shown = promise(p, o, level), shows(p.size)
    tenths = by_tenths(p, o, level)
    if shown is Shows.TOTALS:
        found = verdict(p, o, level)
        return Belief(kind, line, count, summed, found, told(p, o, found), tenths)
    large = in_the_large(p, o, level)
    both = recalibrate(p, o, level) if shown is Shows.DIAGRAM else None
    drawn, slope = None, None
    if count == 1 or large is None:
        found = verdict(p, o, level)
    else:
        drawn = _club(p, o, who, level)
        slope = _slope(p, o, who, level) if both is not None else None
        narrow = 1.0 - (1.0 - level) / 2.0
        found = _of_players(
            drawn if slope is None else _club(p, o, who, narrow),
            both,
            slope and _slope(p, o, who, narrow),
        )
    return Belief(
        kind,
        line,
        count,
        summed,
        found,
        told(p, o, found),
        tenths,
        large,
        both,
        {rule: corp(p, o, rule) for rule in RULES},
        {rule: by_chance(p, rule) for rule in RULES},
        diagram(p, o, level) if shown is Shows.DIAGRAM else None,
        drawn,
        slope,
    )


def _club(p: Floats, o: Floats, who: NDArray[np.int64], level: float) -> Club:
    """Return how the sum held among players drawn anew, no surer than its strokes are."""
    drawn, large = club(p, o, who, level), in_the_large(p, o, level)
    if large is None:
        return drawn
    width = normal_quantile(level) * 100.0 * float(np.sqrt((p * (1.0 - p)).sum())) / p.size
    alone = Interval(drawn.gained - width, drawn.gained + width, level)
    return replace(
        drawn, of_gained=_wider(drawn.of_gained, alone), of_shift=_wider(drawn.of_shift, large.interval)
    )


def _slope(p: Floats, o: Floats, who: NDArray[np.int64], level: float) -> Interval:
    """Return the interval of the slope among players drawn anew, no surer than its strokes are."""
    drawn, both = slope_of_players(p, o, who, level), recalibrate(p, o, level)
    return drawn if both is None else _wider(drawn, both.of_slope)


def _wider(one: Interval, other: Interval) -> Interval:
    """Return what reaches from the lower of both ends to the higher."""
    return Interval(min(one.low, other.low), max(one.high, other.high), one.level)


def _of_players(summed: Club, both: Recalibration | None, slope: Interval | None) -> Verdict:
    """Return the verdict of intervals among players drawn anew.

    Two intervals are looked at where there is a slope: each is then so much wider that together they
    are wrong of true promises no more than one time in ten.
    """
    shifted = not summed.of_shift.holds(0.0)
    tilted = slope is not None and not slope.holds(1.0)
    if tilted and both is not None and slope is not None:
        tilt = abs(both.slope - 1.0) / max(slope.high - slope.low, 1e-12)
        shift = abs(summed.shift) / max(summed.of_shift.high - summed.of_shift.low, 1e-12)
        if not shifted or tilt > shift:
            return Verdict.BOLD if both.slope < 1.0 else Verdict.TIMID
    if not shifted:
        return Verdict.AS_PROMISED
    return Verdict.MORE if summed.shift > 0.0 else Verdict.FEWER


def slope_of_players(
    promised: ArrayLike,
    made: ArrayLike,
    players: ArrayLike,
    level: float = OF_RATES,
    draws: int = CLUB_DRAWS,
    seed: int = 0,
) -> Interval:
    """Return the interval of the slope, players drawn anew; promises are read at some hundred places.

    Raises ValueError for other values, or other lengths.
    """
    p = chances(promised)
    o = outcomes(made, p)
    names, who = np.unique(np.asarray(players), return_inverse=True)
    if who.shape != p.shape:
        raise ValueError("one player for each stroke")
    order = np.argsort(p, kind="stable")
    place = np.empty(p.size, dtype=np.int64)
    place[order] = np.arange(p.size) * PLACES // p.size
    of_place = np.unique(place, return_inverse=True)[1]
    logits = np.bincount(of_place, weights=np.log(p) - np.log1p(-p)) / np.bincount(of_place)
    table = np.zeros((2, names.size, logits.size))
    np.add.at(table[0], (who, of_place), 1.0)
    np.add.at(table[1], (who, of_place), o)
    times = seeded(seed).multinomial(names.size, np.full(names.size, 1.0 / names.size), size=draws)
    strokes, points = times @ table[0], times @ table[1]
    return of_draws(_slopes(logits, strokes, points), level)


def _slopes(logits: Floats, strokes: Floats, points: Floats) -> Floats:
    """Return the slope of each row of strokes and points (draws, places), by Newton's steps."""
    at, slope = np.zeros(len(strokes)), np.ones(len(strokes))
    for _ in range(NEWTON):
        expected = 1.0 / (1.0 + np.exp(-np.clip(at[:, None] + slope[:, None] * logits, -30.0, 30.0)))
        off, weight = points - strokes * expected, strokes * expected * (1.0 - expected)
        first, second = off.sum(axis=1), off @ logits
        h00, h01, h11 = weight.sum(axis=1), weight @ logits, weight @ logits**2
        room = np.maximum(h00 * h11 - h01**2, 1e-9)
        steps = (h11 * first - h01 * second) / room, (h00 * second - h01 * first) / room
        at = np.clip(at + np.clip(steps[0], -2.0, 2.0), -STEEPEST, STEEPEST)
        slope = np.clip(slope + np.clip(steps[1], -2.0, 2.0), -STEEPEST, STEEPEST)
        if max(float(np.abs(step).max()) for step in steps) < 1e-8:
            break
    slopes: Floats = slope
    return slopes
