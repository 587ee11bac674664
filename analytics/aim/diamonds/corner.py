"""The corner system: aim = origin − arrival. Long rail first, then short, then long.

In its own place the cue ball starts near the bottom-left corner and meets right, top, left,
then right or bottom. Alciatore TP 7.2; Jewett, Billiards Digest, June 2010. Origin and aim
are read through the mark by default (Jewett, "Hidden Treasures"; Italian pages), the
arrival opposite it, on the nose.
"""

from __future__ import annotations

from scoring.rules.said import Malformed, said

from . import corner_words as words
from .geometry import LENGTH, WIDTH, Orientation, Point, Span, around, at_across, at_along, root, spans
from .mirror import mirrored
from .question import SAME, Answer, Question, Step
from .scales import CORNER, SCHOOLS, School
from .sums import Numbers, Sum, Three, check_range, contradiction, too_few
from .tracks import PER_NUMBER, TRACKS, correction, fourth, natural, track, track_and_rebound
from .words import number

MOST_NEGATIVE_AIM = 5.0

SUM = Sum(
    origin=lambda aim, arrival: aim + arrival,
    aim=lambda origin, arrival: origin - arrival,
    arrival=lambda origin, aim: origin - aim,
    says={
        "origin": said("Origin = aim + arrival: %(aim)s + %(arrival)s = %(origin)s."),
        "aim": said("Aim = origin − arrival: %(origin)s − %(arrival)s = %(aim)s."),
        "arrival": said("Arrival = origin − aim: %(origin)s − %(aim)s = %(arrival)s."),
    },
)


def solve(asked: Question, way: Orientation) -> Answer:
    """Answer a question in the system's own place. Raises Malformed."""
    school = SCHOOLS[asked.outer]
    if asked.origin is not None:
        check_range("origin", asked.origin, school.origins.low, school.origins.high, "origin")
    if asked.aim is not None:
        check_range("aim", asked.aim, 0.0, school.aims.high, "aim")
    track_number = asked.arrival if asked.ball is None else _track_of(asked.ball, school, asked.radius)
    weight = 0.0
    if asked.correct:
        weight = 1.0 if asked.ball is None else asked.ball[0] / WIDTH
    three = _settle(asked, school, track_number, weight)
    found = next(
        name
        for name, known in (
            ("aim", asked.aim),
            ("origin", asked.origin if asked.cue_ball is None else three.origin),
            ("arrival", None),
        )
        if known is None
    )
    _check(three, school, asked)
    wanted = three.arrival - correction(three.origin, weight)
    shift = three.arrival - wanted
    window, by_rebound = _windows(asked, school, wanted)
    steps = words.steps(asked, way, school, three, wanted, SUM.say(found, three))
    if window is not None:
        window = (window[0] + shift, window[1] + shift)
        steps += words.window_steps(asked, window, [(a + shift, b + shift) for a, b in by_rebound])
    stroke = words.STROKE
    return Answer(
        system=asked.system,
        origin=three.origin,
        aim=three.aim,
        arrival=three.arrival,
        points=_points(school, three, wanted),
        marks=_marks(school, three, asked.mark_offset),
        line=sight(school, three.origin, three.aim, asked),
        steps=(*steps, Step(stroke)),
        stroke=stroke,
        window=window,
        warnings=words.warnings(asked, school, three),
        track=wanted if asked.correct and three.arrival >= 0 else None,
        mirror=_mirror(school, three),
    )


def _track_of(ball: Point, school: School, radius: float) -> float:
    """Return the arrival whose published track runs through the ball."""
    return school.arrivals.number(natural(ball, 2 * radius))


def _settle(asked: Question, school: School, track_number: float | None, weight: float) -> Three:
    """Return the three numbers; the arrival is the one to play, after the correction."""
    if asked.cue_ball is not None and asked.aim is None:
        if track_number is None:
            raise too_few(["arrival"])
        return _by_line(asked, school, asked.cue_ball, track_number, weight)
    origin = asked.origin
    if asked.cue_ball is not None:
        assert asked.aim is not None
        origin = origin_seen(school, asked.cue_ball, asked.aim, asked)
    if origin is None and asked.aim is not None and track_number is not None:
        return _three(origin_of(asked.aim, track_number, weight), asked.aim)
    if track_number is None or origin is None:
        return SUM.settle(Numbers(origin, asked.aim, track_number))[0]
    arrival = track_number + correction(origin, weight)
    if asked.aim is None:
        return _three(origin, origin - arrival)
    played = origin - asked.aim
    if min(abs(played - arrival), abs(played - track_number)) > SAME:
        if asked.ball is not None:
            raise Malformed(
                "aim",
                said("The ball asks for arrival %(arrival)s; leave the aim out.", arrival=number(arrival)),
            )
        raise contradiction(origin, asked.aim, played)
    return _three(origin, asked.aim)


def origin_of(aim: float, track_number: float, weight: float) -> float:
    """Return the origin whose aim reaches a track: origin − aim = track + correction(origin)."""
    each = PER_NUMBER * weight
    return (aim + track_number + each * CORNER) / (1 + each)


def _three(origin: float, aim: float) -> Three:
    return Three(origin, aim, origin - aim)


def _by_line(asked: Question, school: School, cue_ball: Point, track_number: float, weight: float) -> Three:
    """Return the one line through the cue ball whose origin less its aim is the arrival."""

    def over(aim: float) -> float:
        origin = origin_seen(school, cue_ball, aim, asked)
        return origin - aim - track_number - correction(origin, weight)

    high = school.aims.high
    if over(0.0) < -1e-9:
        raise Malformed(
            "layout",
            said("From this cue ball no aim comes to the arrival that the ball asks for; play another way."),
        )
    if over(high) > 1e-9:
        raise Malformed(
            "layout",
            said("From this cue ball the aim would lie beyond the rail; play another way."),
        )
    aim = root(over, 0.0, high)
    origin = origin_seen(school, cue_ball, aim, asked)
    arrival = track_number + correction(origin, weight)
    return Three(origin, aim, arrival)


def origin_seen(school: School, cue_ball: Point, aim: float, asked: Question) -> float:
    """Return the origin that stands on the line from an aim back through the cue ball."""
    if asked.reading == "through":
        return _read(school, cue_ball, aim, asked.mark_offset)
    opposite = _read(school, cue_ball, aim, 0.0)
    if asked.reading == "opposite" or opposite < CORNER:
        return opposite
    # From the corner on that school looks through the marks; what neither claims is the corner's.
    return max(_read(school, cue_ball, aim, asked.mark_offset), CORNER)


def _read(school: School, cue_ball: Point, aim: float, offset: float) -> float:
    """Return the origin on the line, marks lying `offset` behind the noses.

    A line that leaves the frame within its corner reads 5, so that the number never jumps.
    """
    x, y = school.aim_point(aim)
    mark = (x + offset, y)
    up = at_across(-offset, mark, cue_ball)
    if up >= -offset:
        return school.origins.number(-max(up, 0.0))
    return school.origins.number(max(at_along(-offset, mark, cue_ball), 0.0))


def sight(school: School, origin: float, aim: float, asked: Question) -> tuple[Point, Point]:
    """Return the two points that the aim line joins under the reading."""
    offset = asked.mark_offset
    if asked.reading == "opposite" or (asked.reading == "split" and origin < CORNER):
        offset = 0.0
    x, y = school.origin_point(origin)
    start = (-offset, y) if x == 0 and y > 0 else (x, -offset)
    if origin == CORNER:
        start = (0.0, 0.0)
    end = school.aim_point(aim)
    return start, (end[0] + offset, end[1])


def _check(three: Three, school: School, asked: Question) -> None:
    """Raise Malformed for numbers that the system has no place for."""
    origin, aim, arrival = three
    on_line = asked.cue_ball is not None
    # What to send otherwise: the number itself where it was sent, else what led to it.
    target = "layout.ball" if asked.ball is not None else "arrival"
    field = {
        "origin": "layout.cue_ball" if on_line else "origin" if asked.origin is not None else "aim",
        "aim": "aim" if asked.aim is not None else target,
        "arrival": "aim" if asked.arrival is None and asked.ball is None else target,
    }
    if aim < -1e-9:
        raise Malformed(
            target,
            said("The arrival lies above the origin, and no aim reaches it: send a smaller arrival."),
        )
    check_range("origin", origin, school.origins.low, school.origins.high, field["origin"])
    check_range("aim", aim, 0.0, school.aims.high, field["aim"])
    if arrival < -1e-9 and asked.correct and field["arrival"] == target:
        raise Malformed(
            target,
            said("Corrected for the origin, the arrival would lie before the third rail: play another way."),
        )
    if arrival < -1e-9 and aim > MOST_NEGATIVE_AIM + 1e-9:
        raise Malformed(
            field["aim"],
            said(
                "With an aim above the origin the second rail is the long one;"
                " that is known up to aim 5. Send a smaller aim."
            ),
        )
    if arrival >= 0:
        check_range("arrival", arrival, 0.0, school.arrivals.high, field["arrival"])


def _points(school: School, three: Three, wanted: float) -> dict[str, Point | None]:
    """Return the nose points; the fourth rail's is that of the track wanted."""
    points: dict[str, Point | None] = {
        "origin": school.origin_point(three.origin),
        "aim": school.aim_point(three.aim),
        "arrival": None,
    }
    if three.arrival < -1e-9:
        # widbee.tistory.com/240: a diamond from the corner for each half number.
        points["second"] = (0.0, LENGTH + 2 * three.arrival)
        return points
    points["arrival"] = school.arrival_point(three.arrival)
    down = school.arrivals.place(wanted)
    points["fourth"] = fourth(down) if 0 <= down <= TRACKS.high else None
    return points


def _mirror(school: School, three: Three) -> float | None:
    found = mirrored(school.origin_point(three.origin), school.aim_point(three.aim))
    return None if found is None or found[1] > LENGTH else found[1]


def _marks(school: School, three: Three, offset: float) -> dict[str, Point]:
    """Return the places on the frame abreast of the numbers."""
    x, y = school.origin_point(three.origin)
    end = school.aim_point(three.aim)
    marks = {
        "origin": (x, -offset) if y == 0 and x > 0 else (-offset, y),
        "aim": (end[0] + offset, end[1]),
    }
    if three.arrival >= 0:
        third = school.arrival_point(three.arrival)
        marks["arrival"] = (third[0] - offset, third[1])
    return marks


def _windows(asked: Question, school: School, wanted: float) -> tuple[Span | None, list[Span]]:
    """Return the tracks that hit the ball directly, and those that do only off the fourth rail.

    Without a ball: one half-way along the track, off the rails.
    """
    down = school.arrivals.place(wanted)
    if not 0 <= down <= TRACKS.high:
        return None, []
    most, reach = school.arrivals.number(TRACKS.high), 2 * asked.radius
    place = school.arrivals.place
    if asked.ball is None:
        (x0, y0), (x1, y1) = track(down)
        ball = ((x0 + x1) / 2, (y0 + y1) / 2)
    else:
        ball = asked.ball
    direct = around(wanted, spans(lambda at: [track(place(at))], ball, 0.0, most, reach))
    if asked.ball is None or direct is None:
        return direct, []
    either = spans(lambda at: track_and_rebound(place(at)), ball, 0.0, most, reach)
    return direct, _without(either, direct)


def _without(among: list[Span], taken: Span) -> list[Span]:
    """Return what the ranges hold beside the one that is taken."""
    parts = []
    for low, high in among:
        for part in ((low, min(high, taken[0])), (max(low, taken[1]), high)):
            if part[1] - part[0] > 0.01:
                parts.append(part)
    return parts
