"""Which shots pay: a row for each family, by what was tried.

A missed stroke's contacts never reach the second ball, so a family read from contacts exists for
points alone; strokes of which nobody said what was tried stand in a row of their own, and where
that happens to misses more than to points no rate is told.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from scoring.rules.said import Said, said

from .common import OF_RATES, Floats, Interval, floats, outcomes
from .offsets import FALSE_ALARMS, Drawn, Offset, adjusted, offset, shrink
from .promises import WORTH_TELLING, Promise, promise, strokes_to_tell
from .rates import wilson
from .shrinking import A_GUESS, Club, Shrunk, Weight, prior_mean, shrunk, smoothed
from .wording import FOR_WORDS, Shown, shown

# Shares recorded of points and of misses that differ by more leave no rate to tell.
SHARES_MAY_DIFFER = 0.10


@dataclass(frozen=True)
class Row:
    """One family: what was tried and made, and what of that may be shown.

    share : of the attempts whose family is recorded. raw, wilson : the plain rate and its interval.
    shrunken : the rate drawn towards the player's level and the club's. promised : of the attempts
    with a promise, points gained among its figures. offset, drawn : how far success stands from
    what was promised, in log-odds, alone and beside the other families; adjusted : the p-value of
    that among the families that could be told. None where rates are withheld, or nothing is known.
    """

    family: str
    attempts: int
    share: float
    points: int
    raw: float | None
    wilson: Interval | None
    shrunken: Shrunk | None
    promised: Promise | None
    offset: Offset | None
    drawn: Drawn | None
    adjusted: float | None
    shown: Shown
    words: Said | None


@dataclass(frozen=True)
class Unrecorded:
    """Strokes of which nobody said what was tried, and the shares that were recorded of the others.

    of_points, of_misses : shares with a family; None without points, without misses. promised_of_
    the same of promises among strokes with a family, which leave figures as one-sided.
    """

    strokes: int
    points: int
    of_points: float | None
    of_misses: float | None
    promised_of_points: float | None
    promised_of_misses: float | None


@dataclass(frozen=True)
class Families:
    """All families that were tried, most attempts first, and the strokes not recorded.

    withheld : no rate is told; one_sided : promises are missing for misses more than for points, or
    the other way about, and no family is called better or worse. tau : how far families differ from
    their promises, in log-odds; None without promises.
    """

    rows: tuple[Row, ...]
    unrecorded: Unrecorded
    withheld: bool
    one_sided: bool
    tau: float | None
    words: Said | None


@dataclass(frozen=True)
class _Counted:
    """One family before anything is compared."""

    family: str
    attempts: int
    share: float
    points: int
    prior: float
    weight: Weight
    promised: Promise | None
    offset: Offset | None


def table(
    names: Sequence[str],
    family: ArrayLike,
    made: ArrayLike,
    promised: ArrayLike | None = None,
    club: Club | None = None,
    level: float = OF_RATES,
) -> Families:
    """Return the table of a player's strokes by family.

    names : of families. family : (n,) places in names; any other number is "not recorded".
    made : (n,) of 0 and 1. promised : (n,) between 0 and 1, nan where there is none; of one kind
    of line and of one time. club : rates and weights in the order of names; without it rates are
    drawn towards the player's own, with a weight of 40. Raises ValueError for other shapes.
    """
    place = np.asarray(family, dtype=np.int64)
    told = floats(np.full(place.shape, np.nan) if promised is None else promised)
    points = outcomes(made, floats(place))
    if told.shape != place.shape or (club is not None and len(club.rates) != len(names)):
        raise ValueError("a promise, or nan, for each stroke; a rate of the club for each family")
    recorded = (place >= 0) & (place < len(names))
    unrecorded = _unrecorded(recorded, points, ~np.isnan(told))
    withheld = _differ(unrecorded.of_points, unrecorded.of_misses)
    one_sided = _differ(unrecorded.promised_of_points, unrecorded.promised_of_misses)
    counted = _count(names, place[recorded], points[recorded], told[recorded], club, level)
    tau, drawn = _drawn(counted, level)
    chances = _chances(counted)
    rows = [
        _row(one, beside, chance, withheld, one_sided, level)
        for one, beside, chance in zip(counted, drawn, chances, strict=True)
    ]
    words = _why(unrecorded, withheld, one_sided)
    return Families(tuple(rows), unrecorded, withheld, one_sided, None if withheld else tau, words)


def _count(
    names: Sequence[str], place: np.ndarray, points: Floats, told: Floats, club: Club | None, level: float
) -> list[_Counted]:
    """The families that were tried, most attempts first."""
    tried = np.bincount(place, minlength=len(names))
    made = np.bincount(place, points, len(names)).astype(int)
    player = smoothed(int(points.sum()), place.size)
    found = []
    for at in np.argsort(-tried, kind="stable"):
        if tried[at] == 0:
            break
        known = (place == at) & ~np.isnan(told)
        mine, scored = told[known], points[known]
        some = bool(known.any())
        found.append(
            _Counted(
                names[at],
                int(tried[at]),
                float(tried[at] / place.size),
                int(made[at]),
                player if club is None else prior_mean(club.rates[at], player, club.rate),
                A_GUESS if club is None else club.weights[at],
                promise(mine, scored, level) if some else None,
                offset(mine, scored, level) if some else None,
            )
        )
    return found


def _drawn(counted: list[_Counted], level: float) -> tuple[float | None, list[Drawn | None]]:
    """Offsets of all families beside each other; where the likeliest is infinite its posterior stands in."""
    offsets = [one.offset for one in counted]
    pairs = [
        (one.mean, one.sd) if one.mode is None or one.se is None else (one.mode, one.se)
        for one in offsets
        if one is not None
    ]
    if not pairs:
        return None, [None] * len(counted)
    found = shrink([d for d, _ in pairs], [se for _, se in pairs], level)
    rest = iter(found.drawn)
    return found.tau, [None if one is None else next(rest) for one in offsets]


def _chances(counted: list[_Counted]) -> list[float | None]:
    """The p-values of the families that could be told, adjusted for how many these are."""
    could = [
        one.promised.p_two
        for one in counted
        if one.promised is not None and one.promised.strokes >= FOR_WORDS
    ]
    rest = iter(adjusted(could).tolist())
    return [
        next(rest) if one.promised is not None and one.promised.strokes >= FOR_WORDS else None
        for one in counted
    ]


def _row(
    one: _Counted, drawn: Drawn | None, chance: float | None, withheld: bool, one_sided: bool, level: float
) -> Row:
    if withheld:
        nothing = (None,) * 7
        return Row(one.family, one.attempts, one.share, one.points, *nothing, shown=Shown.COUNTS, words=None)
    clear = (
        chance is not None
        and chance <= FALSE_ALARMS
        and one.offset is not None
        and not one.offset.interval.holds(0.0)
        and not one_sided
    )
    told = one.promised.strokes if one.promised is not None else 0
    may = shown(one.attempts, clear and told >= FOR_WORDS)
    return Row(
        one.family,
        one.attempts,
        one.share,
        one.points,
        one.points / one.attempts,
        wilson(one.points, one.attempts, level),
        shrunk(one.points, one.attempts, one.prior, one.weight, level),
        one.promised,
        one.offset,
        drawn,
        chance,
        may,
        _words(one.promised, may),
    )


def _words(told: Promise | None, may: Shown) -> Said | None:
    if told is None or may is Shown.COUNTS:
        return None
    if may is Shown.WORDS:
        return said("more than promised") if told.gained > 0 else said("fewer than promised")
    return said(
        "too early to tell: about %(strokes)s strokes would show a difference of %(points)s in 100",
        strokes=strokes_to_tell(told.variance / told.strokes),
        points=round(100 * WORTH_TELLING),
    )


def _unrecorded(recorded: np.ndarray, points: Floats, told: np.ndarray) -> Unrecorded:
    made = points > 0.0

    def share(part: np.ndarray, whole: np.ndarray) -> float | None:
        return float((part & whole).sum() / whole.sum()) if whole.any() else None

    return Unrecorded(
        int((~recorded).sum()),
        int((~recorded & made).sum()),
        share(recorded, made),
        share(recorded, ~made),
        share(told, recorded & made),
        share(told, recorded & ~made),
    )


def _differ(of_points: float | None, of_misses: float | None) -> bool:
    return of_points is not None and of_misses is not None and abs(of_points - of_misses) > SHARES_MAY_DIFFER


def _why(shares: Unrecorded, withheld: bool, one_sided: bool) -> Said | None:
    if withheld:
        return said(
            "What was tried is noted for %(points)s of 100 points and for %(misses)s of 100 misses: "
            "no rate can be told from that.",
            points=_of_100(shares.of_points),
            misses=_of_100(shares.of_misses),
        )
    if one_sided:
        return said(
            "%(points)s of 100 points and %(misses)s of 100 misses were promised: "
            "too uneven to call a family better or worse.",
            points=_of_100(shares.promised_of_points),
            misses=_of_100(shares.promised_of_misses),
        )
    return None


def _of_100(share: float | None) -> int:
    return round(100 * (share or 0.0))
