"""One and two rails without side: plane mirrors at the nose.

y = a x / (a + b), Loy, Kicks and Banks I; two rails: y = a (x1 + x2) / (a + b), Loy, Two
Rail Kicks, the last leg parallel to the first. a, b: the balls' distances from the first
rail; x: between them along it; x1, x2: their distances from the second rail. Numbers are
counted along the rails from the far end, as in the half system.
"""

from __future__ import annotations

from collections.abc import Callable

from scoring.rules.said import Malformed, said

from . import bank_words as words
from .bench import Balls, Bench
from .geometry import Leg, Orientation, Point, Span, around, spans
from .question import SAME, Answer, Question, Step
from .sums import check_range, contradiction, too_few
from .words import number

Path = Callable[[float], list[Leg]]


def _read(asked: Question, bench: Bench) -> Balls:
    missing = [
        name
        for name, one, other in (
            ("origin", asked.origin, asked.cue_ball),
            ("aim", asked.aim, None),
            ("arrival", asked.arrival, asked.ball),
        )
        if one is None and other is None
    ]
    if len(missing) > 1:
        raise too_few(missing)
    for name in ("origin", "aim", "arrival"):
        value = getattr(asked, name)
        if value is not None:
            check_range(name, value, 0.0, bench.along, name)

    def found(ball: Point | None, value: float | None) -> Point | None:
        if ball is not None:
            return bench.swap(ball)
        return None if value is None else (0.0, bench.along - value)

    return Balls(
        found(asked.cue_ball, asked.origin),
        found(asked.ball, asked.arrival),
        None if asked.aim is None else bench.along - asked.aim,
    )


def _drawn(bench: Bench, aim: float, through: Point) -> float:
    """Return where the line from an aim through a point meets the facing rail, drawn on to it."""
    return aim + (through[1] - aim) * bench.across / (bench.across - through[0])


def one_rail(bench: Bench, cue: Point, ball: Point, before: float = 0.0) -> float:
    """Return the aim's place along the first rail: y = a x / (a + b) from abreast of the cue ball.

    before : how far before the nose the mirror stands.
    """
    a, b = bench.across - before - cue[0], bench.across - before - ball[0]
    return cue[1] + a * (ball[1] - cue[1]) / (a + b)


def two_rail(bench: Bench, cue: Point, ball: Point, before: float = 0.0) -> float:
    """Return the aim's place along the first rail: y = a (x1 + x2) / (a + b).

    before : how far before the noses the mirrors stand.
    """
    a, b = bench.across - before - cue[0], bench.across - before - ball[0]
    return cue[1] + a * (2 * (bench.along - before) - cue[1] - ball[1]) / (a + b)


def solve_one(asked: Question, way: Orientation) -> Answer:
    """Answer in the system's own place. Raises Malformed."""
    bench = Bench(asked.first_rail or "right")
    known = _read(asked, bench)
    cue, ball, aim = known.cue, known.ball, known.aim
    if cue is not None and ball is not None:
        exact = one_rail(bench, cue, ball)
        _check_agrees(asked, bench, aim, exact)
        aim = exact
    assert aim is not None
    if cue is None:
        assert ball is not None
        cue = (0.0, 2 * aim - _drawn(bench, aim, ball))
    if ball is None:
        ball = (0.0, 2 * aim - _drawn(bench, aim, cue))
    start, end = _drawn(bench, aim, cue), _drawn(bench, aim, ball)
    points = {
        "origin": bench.reaches(aim, start),
        "aim": (bench.across, aim),
        "arrival": bench.reaches(aim, end),
    }
    if known.cue and known.ball and asked.cue_ball and asked.ball:
        turns = one_rail(bench, known.cue, known.ball, asked.radius)
        points["contact"] = (bench.across - asked.radius, turns)
    known_cue = cue

    def last(arrival: float) -> list[Leg]:
        at = (0.0, bench.along - arrival)
        turn = (bench.across, one_rail(bench, known_cue, at))
        return [(bench.swap(turn), bench.swap(at))]

    span = _window(asked, bench, last, bench.number(end), bench.along)
    total = words.one_sum(bench, asked, known, aim, start, end)
    return _answer(asked, way, bench, points, (start, end), total, span)


def solve_two(asked: Question, way: Orientation) -> Answer:
    """Answer in the system's own place. Raises Malformed."""
    bench = Bench(asked.first_rail or "right")
    known = _read(asked, bench)
    cue, ball, aim = known.cue, known.ball, known.aim
    if cue is not None and ball is not None:
        exact = two_rail(bench, cue, ball)
        if exact > bench.along + 1e-9 or exact <= cue[1] + 1e-9:
            raise _second_first(asked)
        _check_agrees(asked, bench, aim, exact)
        aim = exact
    assert aim is not None
    if aim < 0.01:
        raise Malformed("aim", said("This aim lies in the near corner: send a smaller one."))
    if cue is None:
        assert ball is not None
        slope = (2 * bench.along - ball[1] - aim) / max(bench.across - ball[0], 1e-9)
        start = aim - slope * bench.across
        cue = bench.reaches(aim, start)
    else:
        start = _drawn(bench, aim, cue)
        slope = (aim - start) / bench.across
    if slope <= 1e-9:
        raise Malformed("aim", said("This aim does not lead to the second rail: send a smaller one."))
    turn = bench.across - (bench.along - aim) / slope
    if turn < -1e-9:
        raise Malformed(
            "aim" if asked.aim is not None else "layout",
            said("The ball would come back to its own side before the second rail: send a smaller aim."),
        )
    end = bench.along - slope * turn
    points = {
        "origin": bench.reaches(aim, start),
        "aim": (bench.across, aim),
        "second": (turn, bench.along),
        "arrival": (0.0, end) if end >= 0 else (turn - bench.along / slope, 0.0),
    }
    if known.cue and known.ball and asked.cue_ball and asked.ball:
        turns = two_rail(bench, known.cue, known.ball, asked.radius)
        points["contact"] = (bench.across - asked.radius, turns)
    known_cue = cue

    def last(arrival: float) -> list[Leg]:
        at = (0.0, bench.along - arrival)
        first = two_rail(bench, known_cue, at)
        rise = (first - known_cue[1]) / (bench.across - known_cue[0])
        corner = bench.across - (bench.along - first) / max(rise, 1e-9)
        return [(bench.swap((corner, bench.along)), bench.swap(at))]

    span = _window(asked, bench, last, bench.number(end), min(bench.along - start, bench.along))
    total = words.two_sum(bench, asked, known, aim, start, end)
    return _answer(asked, way, bench, points, (start, end), total, span)


def _second_first(asked: Question) -> Malformed:
    field = "layout" if asked.cue_ball is not None or asked.ball is not None else "arrival"
    return Malformed(
        field,
        said("The aim lies past the corner: the second rail would come first. Play another way."),
    )


def _check_agrees(asked: Question, bench: Bench, aim: float | None, exact: float) -> None:
    if aim is None or abs(aim - exact) <= SAME:
        return
    if asked.origin is not None and asked.arrival is not None:
        raise contradiction(asked.origin, bench.along - aim, bench.along - exact)
    raise Malformed(
        "aim",
        said("These balls ask for aim %(aim)s; leave the aim out.", aim=number(bench.along - exact)),
    )


def _window(asked: Question, bench: Bench, last: Path, arrival: float | None, high: float) -> Span | None:
    """Return the arrivals whose last leg meets the ball, or one half-way along that leg."""
    if arrival is None or high <= 0:
        return None
    ball = asked.ball
    if ball is None:
        (x0, y0), (x1, y1) = last(min(arrival, high))[0]
        ball = ((x0 + x1) / 2, (y0 + y1) / 2)
    return around(arrival, spans(last, ball, 0.0, high, 2 * asked.radius))


def _answer(
    asked: Question,
    way: Orientation,
    bench: Bench,
    points: dict[str, Point],
    drawn: tuple[float, float],
    total: Step,
    window: Span | None,
) -> Answer:
    """Put the answer together; points are bench points, `drawn` where the lines meet the facing rail."""
    table = {name: bench.swap(point) for name, point in points.items()}
    origin, arrival = (bench.number(one) for one in drawn)
    return Answer(
        system=asked.system,
        origin=origin,
        aim=bench.along - points["aim"][1],
        arrival=arrival,
        points=dict(table),
        marks=_marks(bench, points, origin, arrival, asked.mark_offset),
        line=(table["origin"], table["aim"]),
        steps=words.steps(asked, way, bench, table, total, window, arrival is not None),
        stroke=words.STROKE,
        window=window,
        warnings=(words.MIRROR,),
    )


def _marks(
    bench: Bench, points: dict[str, Point], origin: float | None, arrival: float | None, offset: float
) -> dict[str, Point]:
    marks = {"aim": bench.swap((bench.across + offset, points["aim"][1]))}
    for name, value in (("origin", origin), ("arrival", arrival)):
        if value is not None:
            marks[name] = bench.swap((-offset, points[name][1]))
    return marks
