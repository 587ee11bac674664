"""What one- and two-rail shots say: the sum, the steps, the stroke that the numbers presume."""

from __future__ import annotations

from scoring.rules.said import Said, said

from .bench import Balls, Bench
from .geometry import Orientation, Point, Span
from .question import Question, Step
from .words import number, place, rail

STROKE = said("The numbers presume no side; side, or another speed, changes the rebound.")
MIRROR = said(
    "The mirror stands at the nose here; under the cushion or at the marks may suit your speed and"
    " distance better. Try the line first."
)


_ONE_BALLS = said(
    "The cue ball is %(a)s from the first rail, the ball %(b)s, and they are %(x)s apart along it:"
    " aim %(a)s × %(x)s / (%(a)s + %(b)s) = %(y)s on from abreast of the cue ball."
)
_ONE_NUMBERS = said("The aim is half-way: (origin %(origin)s + arrival %(arrival)s) / 2 = %(aim)s.")
_TWO_BALLS = said(
    "The cue ball is %(a)s from the first rail and %(x1)s from the second, the ball %(b)s and %(x2)s:"
    " aim %(a)s × (%(x1)s + %(x2)s) / (%(a)s + %(b)s) = %(y)s on from abreast of the cue ball."
)
_TWO_NUMBERS = said(
    "The aim is half the difference: (origin %(origin)s − arrival %(arrival)s) / 2 = %(aim)s."
)


def one_sum(bench: Bench, asked: Question, known: Balls, aim: float, start: float, end: float) -> Step:
    if asked.cue_ball is None or asked.ball is None or known.cue is None or known.ball is None:
        return _half_sum(_ONE_NUMBERS, bench, aim, start, end)
    a, b = bench.across - known.cue[0], bench.across - known.ball[0]
    told = {"a": a, "b": b, "x": abs(known.ball[1] - known.cue[1]), "y": abs(aim - known.cue[1])}
    return _balls_sum(_ONE_BALLS, told)


def two_sum(bench: Bench, asked: Question, known: Balls, aim: float, start: float, end: float) -> Step:
    if asked.cue_ball is None or asked.ball is None or known.cue is None or known.ball is None:
        return _half_sum(_TWO_NUMBERS, bench, aim, start, end)
    a, b = bench.across - known.cue[0], bench.across - known.ball[0]
    x1, x2 = bench.along - known.cue[1], bench.along - known.ball[1]
    return _balls_sum(_TWO_BALLS, {"a": a, "b": b, "x1": x1, "x2": x2, "y": aim - known.cue[1]})


def _balls_sum(template: Said, told: dict[str, float]) -> Step:
    return Step(Said(template.template, {name: number(value) for name, value in told.items()}))


def _half_sum(template: Said, bench: Bench, aim: float, start: float, end: float) -> Step:
    numbers = {"origin": bench.along - start, "aim": bench.along - aim, "arrival": bench.along - end}
    return Step(Said(template.template, {name: number(value) for name, value in numbers.items()}), "D")


def steps(
    asked: Question,
    way: Orientation,
    bench: Bench,
    table: dict[str, Point],
    total: Step,
    window: Span | None,
    returns: bool,
) -> tuple[Step, ...]:
    """Return the steps; `returns` tells whether the ball comes back to the facing rail."""
    told = [
        total,
        Step(
            said(
                "Aim %(place)s, at the nose itself.",
                place=place(way, bench.first, table["aim"], bench.end),
            )
        ),
    ]
    if "contact" in table:
        gap = abs(bench.swap(table["contact"])[1] - bench.swap(table["aim"])[1])
        told.append(
            Step(
                said(
                    "The ball turns half its width before the nose: its centre is then %(gap)s of a diamond"
                    " beside the aim.",
                    gap=number(gap),
                ),
                "D",
            )
        )
    if "second" in table:
        told.append(
            Step(
                said(
                    "The second rail is the %(rail)s one; from there the ball runs parallel to the first leg.",
                    rail=rail(way, bench.end),
                )
            )
        )
    if returns:
        where = place(way, bench.side, table["arrival"], bench.end)
        told.append(Step(said("The line comes back to the facing rail %(place)s.", place=where), "D"))
    if window is not None:
        told.append(hits(asked, window))
    return (*told, Step(STROKE))


def hits(asked: Question, window: Span) -> Step:
    """Return what is said of the arrivals that still hit."""
    low, high = (number(edge) for edge in window)
    if asked.ball is None:
        text = said(
            "A ball half-way along the last leg is still hit by arrivals from %(low)s to %(high)s.",
            low=low,
            high=high,
        )
    else:
        text = said("Arrivals from %(low)s to %(high)s still hit the ball.", low=low, high=high)
    return Step(text, "D")
