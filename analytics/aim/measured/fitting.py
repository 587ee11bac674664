"""The fit of a table to its readings: values, intervals, what was left over, or a refusal.

A reading counts in units of 0.1 diamond, a watch in units of 0.15 s. Intervals of 90 % are
Student's t on what was left over, linear about the solution.

The other values of a table (sliding friction, spin, the nose's height) play together with the
fitted ones and no rail reading tells them apart, so they stay as they were.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import sqrt

from analytics.table.parameters import TableParameters
from scoring.rules.said import said

from .results import WORDS, Fitted, Unfit
from .solving import READ, STEPS, Problem, Readings, Solution
from .strokes import LAG, PLAIN, STROKES

# Which version of this fit; kept with every result.
MODEL = 1
LEAST_READ, LEAST_PLAIN = 10, 4
# A stroke lies this far off [diamonds] at least before it is called wrong, and by this t.
WRONG, WRONG_T = 0.4, 4.5
# So many are looked into, those of which this much is left [units of a careful reading].
SUSPECTS, STRANGE = 4, 3.0
# More than this left over [units of a careful reading] is no measurement.
MOST_SPREAD = 3.0


def fit(readings: Readings, table: TableParameters) -> Fitted:
    """Fit a table to its readings, starting from what was known of it.

    readings : by code of the set; see `TestStroke.fields`. Raises Unfit where there are too
    few, where they contradict each other, and where a value ends at its bound.
    """
    read = {code: tuple(readings[code]) for code in STROKES if code in readings}
    _check_enough(read)
    found = Problem(read, table).solved()
    if len(found.problem.residuals(found.at)) > len(found.at) + 2:
        _check_each(found)
    if found.spread > MOST_SPREAD:
        raise Unfit(
            said(
                "The readings contradict each other: they lie %(off)s of a diamond off any table that the"
                " fit knows. Strike the set again, and read the rail from straight above.",
                off=f"{found.spread * READ:.2f}",
            )
        )
    _check_bounds(found)
    return found.told()


def _check_enough(read: Mapping[str, Sequence[float]]) -> None:
    if len(read) < LEAST_READ:
        raise Unfit(
            said(
                "%(read)s of %(all)s strokes are read; %(least)s at the least tell something.",
                read=len(read),
                all=len(STROKES),
                least=LEAST_READ,
            )
        )
    plain = sum(STROKES[code].kind == PLAIN for code in read)
    if plain < LEAST_PLAIN:
        raise Unfit(
            said(
                "The strokes without side tell most of the cushion; read %(least)s of them at the least.",
                least=LEAST_PLAIN,
            )
        )


def _check_each(found: Solution) -> None:
    """Raise Unfit on a stroke that fits nothing: without it the rest agrees, and it stays far off."""
    problem = found.problem
    if len(problem.read) < LEAST_READ:
        return
    off = problem.off(found.at)
    # A stroke that tells much draws the fit to itself: what is left of it counts the more.
    strange = {code: abs(off[code]) / sqrt(1 - found.hold(code)) for code in problem.read}
    blamed: list[tuple[float, str, float]] = []
    for code in sorted(strange, key=lambda code: -strange[code])[:SUSPECTS]:
        if strange[code] < STRANGE:
            break
        rest = {other: value for other, value in problem.read.items() if other != code}
        # From the beginning: where the whole set ended, the stroke may have led it astray.
        without = Problem(rest, problem.table).solved()
        away = without.off_by(code, problem.read[code])
        times = abs(away) / (max(without.spread, 1.0) * without.doubt(code))
        if abs(away) > WRONG / READ and times > WRONG_T and without.spread < MOST_SPREAD:
            blamed.append((without.spread, code, abs(away)))
    if not blamed:
        return
    _spread, code, away = min(blamed)
    if STROKES[code].kind == LAG and len(problem.lags) > 1:
        raise Unfit(
            said(
                "The two lags tell two different cloths, and which is right nobody knows. Shoot both again."
            ),
            code,
        )
    raise Unfit(
        said(
            "One stroke fits nothing: it was read %(off)s of a diamond from where the others"
            " would have it come. Strike it again, or leave it out.",
            off=f"{away * READ:.1f}",
        ),
        code,
    )


def _check_bounds(found: Solution) -> None:
    low, high = found.problem.bounds
    for at, name in enumerate(found.problem.names):
        if name != "pace" and (min(found.at[at] - low[at], high[at] - found.at[at]) < 0.1 * STEPS[name]):
            raise Unfit(
                said(
                    "%(name)s would end at %(value)s, the last value that is possible. Something was read"
                    " or struck in another way than asked; look at the strokes again.",
                    name=WORDS[name],
                    value=f"{found.at[at]:.3g}",
                )
            )
