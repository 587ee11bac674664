"""What to practise next: which item would lift the average most, how sure that is, and a session of it.

An item is a family of strokes, a position, anything that has a share of all strokes and a success.
P = sum f_k p_k, average P/(1-P) per miss; item k brought from p_k to what is attainable, t_k, makes
it Q/(1-Q) with Q = P + f_k max(0, t_k - p_k). Derived here. Shares are held fixed: "if the layouts
stay as they are". The posterior of p_k is a Beta(a_k, b_k).

A session draws one value of each posterior and takes the best item of that draw, again for each
block of strokes (W. R. Thompson, Biometrika 25, 1933), so that every item gets its tries.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from scoring.rules.said import Said, said

from .common import OF_RATES, Floats, Interval, chances, floats, normal_quantile, outcomes, seeded, tails

DRAWN = 10_000
# One item is named only where it is the best in so many of all draws.
NAMED = 0.6
# What a club's players reach: the upper quarter of those whose average is within a fifth.
QUARTER, ALIKE, LEAST_PLAYERS = 0.75, 0.2, 4
# A session: strokes a block, and the different items that fit into one.
BLOCK, ITEMS = 10, 3
# A goal asks for no more than what is reached one time in four as things stand.
STRETCH = 0.25


@dataclass(frozen=True)
class Gains:
    """Success and average as they are, and what each item would add to the average.

    first_order : f_k (t_k - p_k) / (1-P)^2, for a look by hand.
    """

    success: float
    average: float
    gains: tuple[float, ...]
    first_order: tuple[float, ...]


def gains(shares: ArrayLike, success: ArrayLike, attainable: ArrayLike) -> Gains:
    """Return what each item would add to the average, success known.

    shares : (k,) of all strokes, 0 or more, together 1 at most: the rest makes no point. success,
    attainable : (k,). Raises ValueError for other values or lengths.
    """
    f, p, t = _shares(shares), floats(success), floats(attainable)
    if not f.shape == p.shape == t.shape or min(p.min(), t.min()) < 0.0 or max(p.max(), t.max()) > 1.0:
        raise ValueError("a share, a success and what is attainable, each 0 to 1, for each item")
    whole = float(f @ p)
    if whole >= 1.0:
        raise ValueError("nobody makes all points")
    added = _gains(f, p[None], t[None])[0]
    slope = f * (t - p) / (1.0 - whole) ** 2
    return Gains(whole, whole / (1.0 - whole), tuple(added.tolist()), tuple(slope.tolist()))


@dataclass(frozen=True)
class Item:
    """What is known of one item: its share of all strokes, the Beta(a, b) of its success, what is attainable.

    attainable_error : standard error of it, 0 where it is taken as known.
    """

    name: str
    share: float
    a: float
    b: float
    attainable: float
    attainable_error: float = 0.0


@dataclass(frozen=True)
class Worth:
    """What one item would add to the average: mean and interval over draws, and how often it adds most."""

    name: str
    success: float
    attainable: float
    gain: float
    interval: Interval
    best: float


@dataclass(frozen=True)
class Advice:
    """All items, the one of most mean gain first; `named` is the one to name, None where it is not clear.

    contenders : where none is named, the fewest items that are best in NAMED of all draws together.
    """

    worth: tuple[Worth, ...]
    named: str | None
    contenders: tuple[str, ...]
    draws: int
    seed: int


def advise(items: Sequence[Item], level: float = OF_RATES, draws: int = DRAWN, seed: int = 0) -> Advice:
    """Return what practising each item is worth; no name where all draws gain nothing.

    Raises ValueError without items, for shares above 1 together, or a Beta without weight.
    """
    rng = seeded(seed)
    shares, p, t = _drawn(items, draws, rng)
    added = _gains(shares, p, t)
    best = _best(added, len(items))
    low, high = np.quantile(added, tails(level), axis=0)
    found = [
        Worth(
            item.name,
            item.a / (item.a + item.b),
            item.attainable,
            float(added[:, at].mean()),
            Interval(float(low[at]), float(high[at]), level),
            float(best[at]),
        )
        for at, item in enumerate(items)
    ]
    found.sort(key=lambda worth: -worth.gain)
    likely = sorted((one for one in found if one.best > 0.0), key=lambda worth: -worth.best)
    named = likely[0].name if likely and likely[0].best >= NAMED else None
    contenders: list[str] = []
    together = 0.0
    for one in likely if named is None else ():
        if together >= NAMED:
            break
        contenders.append(one.name)
        together += one.best
    return Advice(tuple(found), named, tuple(contenders), draws, seed)


def pick(items: Sequence[Item], seed: int | Sequence[int]) -> str | None:
    """Return the best item of a single draw; None where that draw gains nothing."""
    chosen = _picks(items, 1, seed)
    return items[chosen[0]].name if chosen else None


@dataclass(frozen=True)
class Block:
    """One part of a session: try an item so often, and reach so many points.

    today : chance of that many or more as things stand, the error of the success averaged out.
    expected : points as things stand. hoped : points at what is attainable.
    """

    name: str
    repetitions: int
    goal: int
    today: float
    expected: float
    hoped: float


@dataclass(frozen=True)
class Session:
    """A practice session: blocks in the order of their worth to the draw, and the seed it came of."""

    blocks: tuple[Block, ...]
    strokes: int
    seed: int


def propose(
    items: Sequence[Item], strokes: int, seed: int = 0, *, block: int = BLOCK, most: int = ITEMS
) -> Session:
    """Return a session of about `strokes` strokes in blocks of `block`, of `most` different items or fewer.

    Empty where nothing is to be gained. Raises ValueError for fewer strokes than one block, and as
    `advise` does.
    """
    if block < 1 or strokes < block or most < 1:
        raise ValueError((strokes, block, most))
    count = strokes // block
    times: dict[int, int] = {}
    # Draws enough that a draw which gains nothing, or a fourth item, passes the block on.
    for at in _picks(items, 8 * count, seed):
        if sum(times.values()) == count:
            break
        if at in times or len(times) < most:
            times[at] = times.get(at, 0) + 1
    if times:
        # A rest goes to the item that came most often.
        lead = max(times, key=lambda at: times[at])
        times[lead] += count - sum(times.values())
    blocks = [_block(items[at], block * often) for at, often in times.items()]
    blocks.sort(key=lambda one: -one.repetitions)
    return Session(tuple(blocks), sum(one.repetitions for one in blocks), seed)


def goal(a: float, b: float, attainable: float, repetitions: int) -> int:
    """Return the points to aim for: reached one time in four today, but no more than half the time
    at what is attainable; one more than expected today at least, and never more than all."""
    from scipy.stats import betabinom, binom

    today = int(betabinom.isf(STRETCH, repetitions, a, b)) + 1
    hoped = int(binom.median(repetitions, attainable))
    least = int(repetitions * a / (a + b)) + 1
    return max(1, min(repetitions, max(least, min(today, hoped))))


def of_predictions(promised: ArrayLike) -> tuple[float, float]:
    """Return what the hands should give: mean of predictions at the player's own spread, and its error.

    promised : (n,), of the strokes of one item; the error is that of their mean over layouts.
    Raises ValueError below two, or outside 0 to 1.
    """
    p = chances(promised)
    if p.size < 2:
        raise ValueError("two predictions are needed")
    return float(p.mean()), float(p.std(ddof=1) / np.sqrt(p.size))


def of_club(rates: ArrayLike, averages: ArrayLike, own: float) -> float | None:
    """Return the upper quartile of shrunken rates among players whose average is within 20 % of one's own.

    rates, averages : (players,), without the player. None with fewer than four of them: no advice.
    """
    shrunken, theirs = floats(rates), floats(averages)
    if shrunken.shape != theirs.shape:
        raise ValueError("a rate and an average for each player")
    alike = np.abs(theirs - own) <= ALIKE * own
    if int(alike.sum()) < LEAST_PLAYERS:
        return None
    return float(np.quantile(shrunken[alike], QUARTER))


@dataclass(frozen=True)
class Progress:
    """Points gained per 100 strokes before and after practising an item, and the change with its interval.

    warning : the worst of several items rises by itself; said wherever this is shown.
    """

    before: float
    after: float
    change: float
    interval: Interval
    warning: Said


def progress(
    before: tuple[ArrayLike, ArrayLike], after: tuple[ArrayLike, ArrayLike], level: float = OF_RATES
) -> Progress:
    """Return how points gained over the promised changed; each side (promised, made), as arrays.

    Raises ValueError without strokes on a side, or for values that are none.
    """
    each, errors = [], 0.0
    for promised, made in (before, after):
        p = chances(promised)
        if not p.size:
            raise ValueError("strokes are needed on both sides")
        each.append(100.0 * float((outcomes(made, p) - p).mean()))
        errors += 1e4 * float((p * (1.0 - p)).sum()) / p.size**2
    change, width = each[1] - each[0], normal_quantile(level) * errors**0.5
    warning = said("What was worst improves a little by itself: chance had its part in making it the worst.")
    return Progress(each[0], each[1], change, Interval(change - width, change + width, level), warning)


def _shares(shares: ArrayLike) -> Floats:
    f = floats(shares)
    if f.ndim != 1 or not f.size or f.min() < 0.0 or f.sum() > 1.0 + 1e-9:
        raise ValueError("shares, 0 or more, together 1 at most")
    return f


def _gains(shares: Floats, p: Floats, t: Floats) -> Floats:
    """(draws, k) what each item adds to the average."""
    whole = np.minimum(p @ shares, 1.0 - 1e-9)[:, None]
    better = np.minimum(whole + shares * np.maximum(0.0, t - p), 1.0 - 1e-9)
    added: Floats = better / (1.0 - better) - whole / (1.0 - whole)
    return added


def _drawn(items: Sequence[Item], draws: int, rng: np.random.Generator) -> tuple[Floats, Floats, Floats]:
    shares = _shares([item.share for item in items])
    if min(min(item.a, item.b) for item in items) <= 0.0:
        raise ValueError("a Beta of some weight for each item")
    p = rng.beta([item.a for item in items], [item.b for item in items], (draws, len(items)))
    return shares, p, np.stack([_attained(item, draws, rng) for item in items], axis=1)


def _attained(item: Item, draws: int, rng: np.random.Generator) -> Floats:
    """Draws of what is attainable, from the Beta of its mean and error."""
    t, error = item.attainable, item.attainable_error
    if not 0.0 <= t <= 1.0 or error < 0.0:
        raise ValueError((t, error))
    weight = t * (1.0 - t) / error**2 - 1.0 if error > 0.0 else 0.0
    if weight <= 0.0:
        return np.full(draws, t)
    return rng.beta(t * weight, (1.0 - t) * weight, draws)


def _best(added: Floats, items: int) -> Floats:
    """The share of draws in which each item gains most; a draw that gains nothing has no best."""
    some = added.max(axis=1) > 0.0
    counts = np.bincount(added[some].argmax(axis=1), minlength=items)
    return counts / len(added)


def _picks(items: Sequence[Item], draws: int, seed: int | Sequence[int]) -> list[int]:
    added = _gains(*_drawn(items, draws, seeded(seed)))
    return [int(at) for at, row in zip(added.argmax(axis=1), added, strict=True) if row[at] > 0.0]


def _block(item: Item, repetitions: int) -> Block:
    from scipy.stats import betabinom

    aim = goal(item.a, item.b, item.attainable, repetitions)
    return Block(
        item.name,
        repetitions,
        aim,
        float(betabinom.sf(aim - 1, repetitions, item.a, item.b)),
        repetitions * item.a / (item.a + item.b),
        repetitions * item.attainable,
    )
