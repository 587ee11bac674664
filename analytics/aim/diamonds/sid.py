"""System Sid: short rail first to a long rail, no side; aim = origin × the target's number.

System Sid part 1; Jewett on a forum, after Harris, Billiard Atlas. In its own place the cue
ball plays from over the bottom rail to the top, then to the left. The aim is in tens a
diamond, as published: 7.5 is three quarters of a diamond from the corner.
"""

from __future__ import annotations

from collections.abc import Callable

from scoring.rules.said import Malformed, Said, said

from .bank_words import hits
from .geometry import LENGTH, WIDTH, Leg, Orientation, Point, Span, around, at_along, root, spans
from .question import Answer, Question, Step
from .scales import Scale
from .sums import Numbers, Sum, Three, check_range, too_few
from .words import number, place

# Diamonds of the target from the aimed corner -> its number; below the first derived.
TARGETS = Scale(((0, 0), (1, 1), (2, 2), (3, 2.5), (4, 3), (5, 3.5), (6, 4), (7, 4.5), (8, 5)))
TENS = 10.0

STROKE = said("The numbers presume no side, half a tip to one tip above centre, and the speed of a lag.")


def mirror_aim(origin: float, arrival: float) -> float:
    """Return the aim of an exact mirror, in tens a diamond."""
    return TENS * origin * arrival / (LENGTH + arrival)


def _over(value: float, by: float, field: str) -> float:
    if by <= 1e-9:
        raise Malformed(field, said("Send a number above nought."))
    return value / by


SUM = Sum(
    origin=lambda aim, arrival: _over(aim, TARGETS.place(arrival), "arrival"),
    aim=lambda origin, arrival: origin * TARGETS.place(arrival),
    arrival=lambda origin, aim: TARGETS.number(_over(aim, origin, "origin")),
    says={
        "origin": said("Origin = aim / the target's number: %(aim)s / %(target)s = %(origin)s."),
        "aim": said("Aim = origin × the target's number: %(origin)s × %(target)s = %(aim)s."),
        "arrival": said(
            "The target's number = aim / origin: %(aim)s / %(origin)s = %(target)s, the target %(arrival)s"
            " diamonds from the corner."
        ),
    },
)


def last_leg(aim: float, arrival: float) -> Leg:
    """Return the leg from the short rail to the target on the long rail."""
    return (aim / TENS, LENGTH), (0.0, LENGTH - arrival)


def _passes(aim: float, arrival: float, ball: Point) -> float:
    """Return a number that falls through nought, as the target goes away, where the leg meets the ball."""
    turn = aim / TENS
    return turn * (LENGTH - ball[1]) - arrival * (turn - ball[0])


def _offset(asked: Question) -> float:
    return 0.0 if asked.reading == "opposite" else asked.mark_offset


def _aim_through(cue: Point, arrival: float, offset: float) -> float:
    """Return the aim of the line through the cue ball to a target: linear in the aim."""
    target = TARGETS.place(arrival)
    ratio = (cue[1] + offset) / (LENGTH + offset - cue[1])
    return target * cue[0] * (1 + ratio) / (1 + target * ratio / TENS)


def _origin_seen(cue: Point, aim: float, offset: float) -> float:
    return at_along(-offset, (aim / TENS, LENGTH + offset), cue)


def _target(aim_of: Callable[[float], float], ball: Point, field: str) -> float:
    """Return the target whose leg runs through the ball."""

    def over(arrival: float) -> float:
        return _passes(aim_of(arrival), arrival, ball)

    low = 0.01
    if over(low) < 0 or over(TARGETS.high) > 0:
        # Near nought the leg hugs the corner; farther than the last target there is none.
        raise Malformed(
            field, said("No target of this system sends the last leg to the ball; play another way.")
        )
    return root(over, low, TARGETS.high)


def _settle(asked: Question) -> tuple[Three, str]:
    """Return the numbers, and which of them was found."""
    cue, ball, offset = asked.cue_ball, asked.ball, _offset(asked)
    origin, aim, arrival = asked.origin, asked.aim, asked.arrival
    if cue is not None and aim is not None:
        if ball is not None or arrival is not None:
            raise Malformed("aim", said("Leave the aim out: the balls settle it."))
        check_range("aim", aim, 0.0, TENS * WIDTH, "aim")
        origin = _origin_seen(cue, aim, offset)
        check_range("origin", origin, 0.01, WIDTH, "layout.cue_ball")
        return Three(origin, aim, SUM.arrival(origin, aim)), "arrival"
    if cue is not None:
        known = cue
        if ball is not None:
            arrival = _target(lambda at: _aim_through(known, at, offset), ball, "layout")
        if arrival is None:
            raise too_few(["arrival"])
        check_range("arrival", arrival, 0.0, TARGETS.high, "arrival")
        aim = _aim_through(cue, arrival, offset)
        return Three(_origin_seen(cue, aim, offset), aim, arrival), "aim"
    for name, value, most in (
        ("origin", origin, WIDTH),
        ("aim", aim, TENS * WIDTH),
        ("arrival", arrival, LENGTH),
    ):
        if value is not None:
            check_range(name, value, 0.0, most, name)
    if ball is not None:
        arrival = _target_of_numbers(origin, aim, ball)
    three, _step = SUM.settle(Numbers(origin, aim, arrival))
    return three, "aim" if aim is None else "origin" if origin is None else "arrival"


def _target_of_numbers(origin: float | None, aim: float | None, ball: Point) -> float:
    """Return the target that a ball asks for, the origin or the aim being known."""
    if origin is not None and aim is not None:
        raise Malformed("aim", said("Send the origin or the aim beside the ball, not both."))
    if origin is not None:
        start = origin
        return _target(lambda at: SUM.aim(start, at), ball, "layout.ball")
    if aim is None:
        raise too_few(["origin"])
    known = aim
    return _target(lambda _at: known, ball, "layout.ball")


def solve(asked: Question, way: Orientation) -> Answer:
    """Answer in the system's own place. Raises Malformed."""
    three, found = _settle(asked)
    origin, aim, arrival = three
    on_line = asked.cue_ball is not None
    field = "layout.cue_ball" if on_line else "origin" if asked.origin is not None else "aim"
    check_range("origin", origin, 0.0, WIDTH, field)
    check_range("arrival", arrival, 0.0, LENGTH, "arrival" if asked.arrival is not None else "aim")
    start, turn, end = (origin, 0.0), (aim / TENS, LENGTH), (0.0, LENGTH - arrival)
    window = _window(asked, three)
    steps = _steps(asked, way, three, found)
    if window is not None:
        steps.append(hits(asked, window))
    d, offset = asked.mark_offset, _offset(asked)
    return Answer(
        system=asked.system,
        origin=origin,
        aim=aim,
        arrival=arrival,
        points={"origin": start, "aim": turn, "arrival": end},
        marks={"origin": (origin, -d), "aim": (turn[0], LENGTH + d), "arrival": (-d, end[1])},
        line=((origin, -offset), (turn[0], LENGTH + offset)),
        steps=(*steps, Step(STROKE)),
        stroke=STROKE,
        window=window,
        warnings=_warnings(three),
    )


def _steps(asked: Question, way: Orientation, three: Three, found: str) -> list[Step]:
    origin, aim, arrival = three
    target = number(TARGETS.place(arrival))
    told = {"origin": number(origin), "aim": number(aim), "arrival": number(arrival), "target": target}
    where = place(way, "top", (aim / TENS, LENGTH), "left")
    if asked.reading == "opposite":
        aimed = said(
            "Aim %(aim)s, in tens a diamond: %(place)s. Send the line to the nose abreast of it.",
            aim=told["aim"],
            place=where,
        )
    else:
        aimed = said(
            "Aim %(aim)s, in tens a diamond: %(place)s. Send the line to the mark itself, behind the nose.",
            aim=told["aim"],
            place=where,
        )
    return [
        Step(
            said(
                "Origin %(origin)s: %(place)s.",
                origin=told["origin"],
                place=place(way, "bottom", (origin, 0.0), "left"),
            )
        ),
        Step(
            said(
                "The target is met at arrival %(arrival)s, whose number is %(target)s: %(place)s, on the nose itself.",
                arrival=told["arrival"],
                target=target,
                place=place(way, "left", (0.0, LENGTH - arrival), "top"),
            ),
            "S" if arrival >= 1 else "D",
        ),
        Step(Said(SUM.says[found].template, told)),
        Step(aimed),
    ]


def _window(asked: Question, three: Three) -> Span | None:
    """Return the arrivals that still hit the ball, or one half-way along the last leg."""
    origin, aim, arrival = three
    ball = asked.ball
    if ball is None:
        (x0, y0), (x1, y1) = last_leg(aim, arrival)
        ball = ((x0 + x1) / 2, (y0 + y1) / 2)
    found = spans(lambda at: [last_leg(SUM.aim(origin, at), at)], ball, 0.0, TARGETS.high, 2 * asked.radius)
    return around(arrival, found)


def _warnings(three: Three) -> tuple[Said, ...]:
    exact = mirror_aim(three.origin, three.arrival)
    if abs(exact - three.aim) < 0.5:
        return ()
    return (
        said(
            "An exact mirror would aim at %(mirror)s, not at %(aim)s: the roll of the ball makes the difference.",
            mirror=number(exact),
            aim=number(three.aim),
        ),
    )
