"""The plus system: short rail first, then the far long rail; arrival = origin + aim.

*Systems in Three Cushion* (book), zone 1; Varner, Billiards Digest, Feb 2009;
billard-au-carre.com; PoolDawg library. In its own place the ball meets top, right, left:
origins and arrivals count down the left rail from the top, aims along the top from the
right corner (derived: only so do the published sums lie near the mirror's).
"""

from __future__ import annotations

from collections.abc import Callable

from scoring.rules.said import Malformed, Said, said

from .bank_words import hits
from .geometry import LENGTH, WIDTH, Leg, Orientation, Point, Span, around, at_across, leaves, root, spans
from .question import Answer, Question, Step
from .scales import Scale
from .sums import Numbers, Sum, Three, check_range, too_few
from .words import number, place

# Aim number -> diamonds along the short rail from the corner of the second rail: the first
# from billard-au-carre, the others Varner's; straight between them (derived).
AIMS = Scale(((0, 0), (1, 0.25), (2, 0.5), (3, 1), (4, 1.5), (5, 2), (6, 2.5), (7, 3)))
ZONE = (2.0, 6.0)

SUM = Sum(
    origin=lambda aim, arrival: arrival - aim,
    aim=lambda origin, arrival: arrival - origin,
    arrival=lambda origin, aim: origin + aim,
    says={
        "origin": said("Origin = arrival − aim: %(arrival)s − %(aim)s = %(origin)s."),
        "aim": said("Aim = arrival − origin: %(arrival)s − %(origin)s = %(aim)s."),
        "arrival": said("Arrival = origin + aim: %(origin)s + %(aim)s = %(arrival)s."),
    },
)

STROKE = said(
    "The numbers presume about one tip of running side; one author plays the most. Fix it by playing 3"
    " with aim 3, which must arrive at 6."
)


def aim_point(aim: float) -> Point:
    """Return the nose point of an aim number."""
    return (WIDTH - AIMS.place(aim), LENGTH)


def last_leg(origin: float, aim: float) -> Leg:
    """Return the leg off the third rail, drawn to the long rail across.

    Derived: as steep as the leg before it, whose start is the plane mirror's. No track is
    published.
    """
    turn = AIMS.place(aim)
    second = origin * turn / (WIDTH - turn)
    arrival = origin + aim
    slope = max((arrival - second) / WIDTH, 0.0)
    return (0.0, LENGTH - arrival), (WIDTH, LENGTH - arrival - slope * WIDTH)


def _short(origin: float, aim: float, ball: Point) -> float:
    """Return by how much the last leg passes above the ball."""
    start, end = last_leg(origin, aim)
    return at_across(ball[0], start, end) - ball[1]


def _origin_seen(cue_ball: Point, aim: float, asked: Question) -> float:
    """Return the origin that stands on the line from an aim back through the cue ball."""
    x, y = aim_point(aim)
    behind = asked.mark_offset if asked.reading == "through" else 0.0
    above = asked.mark_offset if asked.reading != "opposite" else 0.0
    return LENGTH - at_across(-behind, (x, y + above), cue_ball)


def _find(f: Callable[[float], float], low: float, high: float, field: str) -> float:
    if high <= low or (f(low) > 0) == (f(high) > 0):
        raise Malformed(field, said("No aim of this system comes to the ball; play another way."))
    return root(f, low, high)


def _settle(asked: Question) -> tuple[Three, str]:
    """Return the numbers, and which of them was found."""
    cue, ball = asked.cue_ball, asked.ball
    origin, aim, arrival = asked.origin, asked.aim, asked.arrival
    if cue is not None:
        return _by_line(asked, cue)
    if ball is None:
        given = Numbers(origin, aim, arrival)
        three, _step = SUM.settle(given)
        return three, "aim" if aim is None else "origin" if origin is None else "arrival"
    if origin is not None and aim is not None:
        raise Malformed("aim", said("Send the origin or the aim beside the ball, not both."))
    if origin is not None:
        start = origin
        check_range("origin", start, 0.0, LENGTH, "origin")
        aim = _find(lambda at: _short(start, at, ball), 0.0, AIMS.high, "layout.ball")
        return Three(start, aim, start + aim), "aim"
    if aim is None:
        raise too_few(["origin"])
    known = aim
    check_range("aim", known, 0.0, AIMS.high, "aim")
    origin = _find(lambda at: _short(at, known, ball), 0.0, LENGTH, "layout.ball")
    return Three(origin, known, origin + known), "origin"


def _by_line(asked: Question, cue: Point) -> tuple[Three, str]:
    """Return the numbers of the line through the cue ball."""
    most = AIMS.number(min(AIMS.knots[-1][1], WIDTH - cue[0] - 0.05))
    ball, arrival, aim = asked.ball, asked.arrival, asked.aim
    if aim is not None:
        if ball is not None or arrival is not None:
            raise Malformed("aim", said("Leave the aim out: the balls settle it."))
        check_range("aim", aim, 0.0, AIMS.high, "aim")
        if aim > most:
            raise Malformed(
                "aim", said("The aim lies straight ahead or behind the cue ball: send a smaller one.")
            )
        origin = _origin_seen(cue, aim, asked)
        return Three(origin, aim, origin + aim), "arrival"

    def over(at: float) -> float:
        origin = _origin_seen(cue, at, asked)
        if ball is not None:
            return -_short(origin, at, ball)
        assert arrival is not None
        return origin + at - arrival

    if ball is None and arrival is None:
        raise too_few(["arrival"])
    found = _find(over, 0.0, most, "layout")
    origin = _origin_seen(cue, found, asked)
    return Three(origin, found, origin + found), "aim"


def solve(asked: Question, way: Orientation) -> Answer:
    """Answer in the system's own place. Raises Malformed."""
    three, found = _settle(asked)
    _check(asked, three)
    origin, aim, arrival = three
    start, turn, third = (0.0, LENGTH - origin), aim_point(aim), (0.0, LENGTH - arrival)
    window = _window(asked, three)
    numbers = {"origin": number(origin), "aim": number(aim), "arrival": number(arrival)}
    steps = [
        Step(
            said(
                "Origin %(origin)s: %(place)s.",
                origin=numbers["origin"],
                place=place(way, "left", start, "top"),
            )
        ),
        Step(SUM.say(found, three)),
        Step(
            said(
                "Aim number %(aim)s on the short rail: %(place)s. Send the line to the mark itself,"
                " behind the nose.",
                aim=numbers["aim"],
                place=place(way, "top", turn, "right"),
            )
            if asked.reading != "opposite"
            else said(
                "Aim number %(aim)s on the short rail: %(place)s. Send the line to the nose abreast of it.",
                aim=numbers["aim"],
                place=place(way, "top", turn, "right"),
            ),
            "D",
        ),
        Step(
            said(
                "The third rail is met at arrival %(arrival)s: %(place)s, on the nose itself.",
                arrival=numbers["arrival"],
                place=place(way, "left", third, "top"),
            )
        ),
    ]
    if window is not None:
        steps.append(hits(asked, window))
    d = asked.mark_offset
    behind = d if asked.reading == "through" else 0.0
    above = d if asked.reading != "opposite" else 0.0
    return Answer(
        system=asked.system,
        origin=origin,
        aim=aim,
        arrival=arrival,
        points={"origin": start, "aim": turn, "arrival": third},
        marks={"origin": (-d, start[1]), "aim": (turn[0], LENGTH + d), "arrival": (-d, third[1])},
        line=((-behind, start[1]), (turn[0], LENGTH + above)),
        steps=(*steps, Step(STROKE)),
        stroke=STROKE,
        window=window,
        warnings=_warnings(asked, origin),
    )


def _check(asked: Question, three: Three) -> None:
    origin, aim, arrival = three
    if asked.aim is None and aim < -1e-9:
        raise Malformed(
            "arrival", said("The arrival must be larger than the origin: the aim is added, not taken away.")
        )
    on_line = asked.cue_ball is not None
    check_range("aim", aim, 0.0, AIMS.high, "aim" if asked.aim is not None else "arrival")
    field = "layout.cue_ball" if on_line else "origin" if asked.origin is not None else "arrival"
    check_range("origin", origin, 0.0, LENGTH, field)
    check_range("arrival", arrival, 0.0, LENGTH, "arrival" if asked.arrival is not None else "aim")


def _window(asked: Question, three: Three) -> Span | None:
    """Return the arrivals that still hit the ball, or one half-way along the last leg."""
    origin, aim, arrival = three
    start, end = last_leg(origin, aim)
    ball = asked.ball
    if ball is None:
        last = leaves(start, ((start[0] + 0.01), at_across(0.01, start, end)))
        if last[0] < 0.5:
            return None
        ball = ((start[0] + last[0]) / 2, (start[1] + last[1]) / 2)
    found = spans(
        lambda at: [last_leg(origin, at - origin)],
        ball,
        origin,
        min(LENGTH, origin + AIMS.high),
        2 * asked.radius,
    )
    return around(arrival, found)


def _warnings(asked: Question, origin: float) -> tuple[Said, ...]:
    told = [
        said(
            "The schools number the short rail differently: one counts 2 a diamond all along."
            " Play 3 with aim 3 first, which must arrive at 6."
        )
    ]
    if not ZONE[0] - 1e-9 <= origin <= ZONE[1] + 1e-9:
        told.append(said("The system holds for origins from 2 to 6; this one is outside."))
    if asked.ball is not None:
        told.append(
            said("No track off the third rail is published: the nearer the ball lies to it, the better.")
        )
    return tuple(told)
