"""Two systems in which one number stands still: half (arrival 0), base 30 (aim 3).

Half: from k diamonds, counted from the far end, to k/2 on the opposite long rail, into the
far corner of the origin's side; no side (inprod.co.kr, half system). Base 30: from any
long-rail origin to aim 3, the fourth contact straight across from the origin (Lazo, La
base 30, 2010, after Verworst); origins and aims numbered as in the corner system.
"""

from __future__ import annotations

from dataclasses import replace

from scoring.rules.said import Malformed, Said, said

from .bank_words import STROKE as NO_SIDE
from .bank_words import hits
from .corner import origin_seen, sight
from .geometry import LENGTH, WIDTH, Leg, Orientation, Point, Span, around, at_across, distance, spans
from .question import SAME, Answer, Question, Step
from .scales import CORNER, SCHOOLS
from .sums import check_range
from .words import number, place

BASE_AIM = 3.0
BASE_LOW = 3.5
BASE_STROKE = said(
    "The numbers presume running side, one to two tips, and a long soft stroke. Off a ball: firm,"
    " a little above centre, no side; off its inside take more side."
)


def _only(name: str, value: float | None, fixed: float, text: Said) -> None:
    """Raise Malformed where a number is given that the system holds still elsewhere."""
    if value is not None and abs(value - fixed) > SAME:
        raise Malformed(name, text)


def _agree(name: str, value: float | None, found: float | None) -> float | None:
    """Return the origin that is known twice or once; raises Malformed where the two differ."""
    if value is None or found is None:
        return found if value is None else value
    if abs(value - found) > SAME:
        raise Malformed(name, said("The other numbers ask for origin %(origin)s.", origin=number(found)))
    return value


def solve_half(asked: Question, way: Orientation) -> Answer:
    """Answer in the system's own place. Raises Malformed."""
    _only(
        "arrival",
        asked.arrival,
        0.0,
        said("The half system runs into the corner: send arrival 0, or leave it out."),
    )
    origin = asked.origin
    if asked.cue_ball is not None:
        # All lines of the system meet in the corner as the right rail mirrors it.
        origin = LENGTH - at_across(0.0, (2 * WIDTH, LENGTH), asked.cue_ball)
        check_range("origin", origin, 0.0, LENGTH, "layout.cue_ball")
    origin = _agree("aim", origin, None if asked.aim is None else 2 * asked.aim)
    if origin is None:
        raise Malformed("origin", said("Send the origin, the aim, or the cue ball."))
    check_range("origin", origin, 0.0, LENGTH, "origin" if asked.origin is not None else "aim")
    aim = origin / 2
    points: dict[str, Point | None] = {
        "origin": (0.0, LENGTH - origin),
        "aim": (WIDTH, LENGTH - aim),
        "arrival": (0.0, LENGTH),
    }
    steps = [
        Step(
            said(
                "Origin %(origin)s: %(place)s.",
                origin=number(origin),
                place=place(way, "left", (0.0, LENGTH - origin), "top"),
            )
        ),
        Step(said("Aim = origin / 2: %(origin)s / 2 = %(aim)s.", origin=number(origin), aim=number(aim))),
        Step(
            said(
                "Aim %(aim)s: %(place)s, at the nose itself; the ball runs into the far corner of its own side.",
                aim=number(aim),
                place=place(way, "right", (WIDTH, LENGTH - aim), "top"),
            )
        ),
    ]
    warnings = []
    carries_on = 1 <= origin <= 4
    if carries_on:
        points["fourth"] = (WIDTH, LENGTH - origin)
        steps.append(
            Step(
                said(
                    "Carried on, the ball comes to the first rail again %(place)s.",
                    place=place(way, "right", (WIDTH, LENGTH - origin), "top"),
                )
            )
        )
        warnings.append(
            said(
                "By plane mirrors the ball would come back at %(mirror)s, not at %(book)s: try it on your table.",
                mirror=number(aim),
                book=number(origin),
            )
        )
    if asked.ball is not None:
        legs = [((WIDTH, LENGTH - aim), (0.0, LENGTH))]
        if carries_on:
            legs.append(((0.0, LENGTH), (WIDTH, LENGTH - origin)))
        _check_met(asked.ball, legs, asked.radius)
    start = (0.0, LENGTH - origin)
    end = (WIDTH, LENGTH - aim)
    d = asked.mark_offset
    return Answer(
        system=asked.system,
        origin=origin,
        aim=aim,
        arrival=0.0,
        points=points,
        marks={"origin": (-d, start[1]), "aim": (WIDTH + d, end[1])},
        line=(start, end),
        steps=(*steps, Step(NO_SIDE)),
        stroke=NO_SIDE,
        warnings=tuple(warnings),
    )


def _check_met(ball: Point, legs: list[Leg], radius: float) -> None:
    if min(distance(ball, leg) for leg in legs) > 2 * radius:
        raise Malformed(
            "layout.ball", said("The ball does not lie on the way of this system; play another one.")
        )


def solve_base(asked: Question, way: Orientation) -> Answer:
    """Answer in the system's own place. Raises Malformed."""
    _only("aim", asked.aim, BASE_AIM, said("Base 30 aims at 3: send aim 3, or leave it out."))
    school = SCHOOLS["linear"]
    asked = replace(asked, outer="linear")
    origin, field = asked.origin, "origin"
    if asked.cue_ball is not None:
        origin, field = origin_seen(school, asked.cue_ball, BASE_AIM, asked), "layout.cue_ball"
    if asked.arrival is not None:
        field = field if origin is not None else "arrival"
        origin = _agree("arrival", origin, asked.arrival + BASE_AIM)
    if asked.ball is not None and origin is None:
        x, y = asked.ball
        origin, field = BASE_AIM + (LENGTH - y - x) / (1 + x / WIDTH), "layout.ball"
    if origin is None:
        raise Malformed("origin", said("Send the origin, the arrival, or a ball."))
    check_range("origin", origin, BASE_AIM, CORNER, field)
    arrival = origin - BASE_AIM
    if asked.ball is not None:
        _check_met(asked.ball, [base_leg(arrival)], asked.radius)
    third, fourth = base_leg(arrival)
    start, end = school.origin_point(origin), school.aim_point(BASE_AIM)
    ball = asked.ball or ((third[0] + fourth[0]) / 2, (third[1] + fourth[1]) / 2)
    window = _base_window(arrival, ball, asked.radius)
    told = {"origin": number(origin), "place": place(way, "left", start, "bottom")}
    steps = [
        Step(said("Origin %(origin)s stands %(place)s.", **told)),
        Step(
            said(
                "Aim at 3, whatever the origin: %(place)s.",
                place=place(way, "right", end, "top"),
            )
        ),
        Step(
            said(
                "Arrival = origin − 3: %(origin)s − 3 = %(arrival)s.",
                origin=number(origin),
                arrival=number(arrival),
            )
        ),
        Step(
            said(
                "The fourth contact is on the first rail, straight across from the origin: %(place)s.",
                place=place(way, "right", fourth, "bottom"),
            )
        ),
    ]
    if window is not None:
        steps.append(hits(asked, window))
    d = asked.mark_offset
    return Answer(
        system=asked.system,
        origin=origin,
        aim=BASE_AIM,
        arrival=arrival,
        points={"origin": start, "aim": end, "arrival": third, "fourth": fourth},
        marks={"origin": (-d, start[1]), "aim": (WIDTH + d, end[1]), "arrival": (-d, third[1])},
        line=sight(school, origin, BASE_AIM, asked),
        steps=(*steps, Step(BASE_STROKE)),
        stroke=BASE_STROKE,
        window=window,
        warnings=_base_warnings(origin),
    )


def base_leg(arrival: float) -> Leg:
    """Return the leg from the third rail to the fourth contact."""
    origin_up = 2 * (CORNER - BASE_AIM - arrival)
    return (0.0, LENGTH - arrival), (WIDTH, origin_up)


def _base_window(arrival: float, ball: Point, radius: float) -> Span | None:
    found = spans(lambda at: [base_leg(at)], ball, 0.0, CORNER - BASE_AIM, 2 * radius)
    return around(arrival, found)


def _base_warnings(origin: float) -> tuple[Said, ...]:
    told = [
        said(
            "Away from the corner the tracks of the corner system come longer than this rule says:"
            " try it on your table."
        )
    ]
    if origin < BASE_LOW:
        told.append(said("Below origin 3.5 the first leg is nearly straight across, and the rule is weak."))
    return tuple(told) if origin < CORNER else ()
