"""What the corner system says: the steps, the stroke that its numbers presume, the warnings."""

from __future__ import annotations

from collections.abc import Sequence
from math import atan2, degrees

from scoring.rules.said import Said, said

from .geometry import LENGTH, WIDTH, Orientation, Point, Span
from .mirror import corner_return
from .question import Question, Step
from .scales import CORE, CORNER, SAFEST, SCHOOLS, School
from .sums import Three
from .tracks import TRACKS, fourth
from .words import number, place, rail

STROKE = said(
    "The numbers presume running side (one tip in some books, the most in others: let the table decide),"
    " centre height or a little above, a level cue, soft to medium speed, and a follow-through."
    " Without side the ball comes short."
)
# From here on the first leg counts as steep (derived: no source gives a figure) [degrees].
STEEP = 60.0
NEAR_RAIL = 0.35
FAR_FROM_FIRST = 3.0
NO_CORRECTION = 1.0  # so near the third rail none is needed (khjong7629) [diamonds]


def steps(
    asked: Question, way: Orientation, school: School, three: Three, wanted: float, total: Said
) -> tuple[Step, ...]:
    """Return the steps from the balls to the line, and where it leads."""
    told: list[Step] = []
    if asked.ball is not None:
        told.append(_ball_step(wanted))
    origin_at = school.origin_point(three.origin)
    told.append(_origin_step(asked, way, three.origin, origin_at))
    if abs(three.arrival - wanted) > 0.005:
        told.append(_correction_step(three, wanted))
    told.append(Step(total))
    told.append(_aim_step(asked, way, three, school.aim_point(three.aim)))
    if three.arrival < -1e-9:
        return (*told, _second_step(way, three))
    told.append(
        Step(
            said(
                "The third rail is met at arrival %(arrival)s: %(place)s, on the nose itself.",
                arrival=number(three.arrival),
                place=place(way, "left", school.arrival_point(three.arrival), "top"),
            )
        )
    )
    down = school.arrivals.place(wanted)
    if 0 <= down <= TRACKS.high:
        told.append(_fourth_step(way, down))
    if abs(three.aim) < 0.005 and origin_at[0] == 0:
        told.append(_return_step(LENGTH - origin_at[1]))
    return tuple(told)


def _ball_step(wanted: float) -> Step:
    return Step(
        said(
            "The ball lies on the track of arrival %(arrival)s: the cue ball must leave the third rail there.",
            arrival=number(wanted),
        ),
        "S" if wanted <= 2 else "D",
    )


def _origin_step(asked: Question, way: Orientation, origin: float, at: Point) -> Step:
    on, end = ("bottom", "left") if at[0] > 0 else ("left", "bottom")
    where = place(way, on, at, end)
    if asked.cue_ball is not None:
        return Step(
            said(
                "Drawn back through the cue ball, the line comes from origin %(origin)s: %(place)s.",
                origin=number(origin),
                place=where,
            )
        )
    return Step(said("Origin %(origin)s stands %(place)s.", origin=number(origin), place=where))


def _correction_step(three: Three, wanted: float) -> Step:
    if three.arrival > wanted:
        text = said(
            "From origin %(origin)s the ball leaves the third rail short: to run on the track of %(wanted)s"
            " it must arrive at %(arrival)s.",
            origin=number(three.origin),
            wanted=number(wanted),
            arrival=number(three.arrival),
        )
    else:
        text = said(
            "From origin %(origin)s the ball leaves the third rail long: to run on the track of %(wanted)s"
            " it must arrive at %(arrival)s.",
            origin=number(three.origin),
            wanted=number(wanted),
            arrival=number(three.arrival),
        )
    return Step(text, "D")


def _aim_step(asked: Question, way: Orientation, three: Three, at: Point) -> Step:
    told = {"aim": number(three.aim), "place": place(way, "right", at, "top")}
    if at[1] in (0, LENGTH):
        return Step(said("Aim %(aim)s: %(place)s, where no mark stands.", **told))
    if asked.reading == "opposite" or (asked.reading == "split" and three.origin < CORNER):
        return Step(said("Aim %(aim)s: %(place)s. Send the line to the nose abreast of it.", **told))
    return Step(said("Aim %(aim)s: %(place)s. Send the line to the mark itself, behind the nose.", **told))


def _second_step(way: Orientation, three: Three) -> Step:
    return Step(
        said(
            "The aim is above the origin: the second rail is the %(rail)s one, met %(place)s.",
            rail=rail(way, "left"),
            place=place(way, "left", (0.0, LENGTH + 2 * three.arrival), "top"),
        )
    )


def _fourth_step(way: Orientation, down: float) -> Step:
    at = fourth(down)
    published = any(abs(down - knot) < 0.005 for knot, _way in TRACKS.knots)
    on, end = ("right", "bottom") if at[1] > 0 or at[0] == WIDTH else ("bottom", "left")
    return Step(
        said("From there the track runs to the fourth rail: %(place)s.", place=place(way, on, at, end)),
        "S" if published else "D",
    )


def _return_step(down: float) -> Step:
    firm, soft = corner_return(down)
    return Step(
        said(
            "Without side, into that same corner, the ball comes back %(firm)s diamonds from the corner if"
            " struck in the centre, a little firm, and %(soft)s if struck soft and above it.",
            firm=number(firm),
            soft=number(soft),
        )
    )


def window_steps(asked: Question, direct: Span, by_rebound: Sequence[Span]) -> tuple[Step, ...]:
    """Return what is said of the arrivals that still hit."""
    low, high = (number(edge) for edge in direct)
    if asked.ball is None:
        return (
            Step(
                said(
                    "A ball on this track, away from the rails, is still hit by arrivals from %(low)s to %(high)s.",
                    low=low,
                    high=high,
                ),
                "D",
            ),
        )
    told = [Step(said("Arrivals from %(low)s to %(high)s still hit the ball.", low=low, high=high), "D")]
    for span in by_rebound:
        told.append(
            Step(
                said(
                    "Arrivals from %(low)s to %(high)s hit it too, off the fourth rail: the ball is big here.",
                    low=number(span[0]),
                    high=number(span[1]),
                ),
                "D",
            )
        )
    return tuple(told)


def warnings(asked: Question, school: School, three: Three) -> tuple[Said, ...]:
    """Return what the player must know before trusting the numbers."""
    return (
        *_outside(three),
        *_schools(asked, school, three),
        *_shape(asked, school, three),
        *_table(asked, three),
    )


def _outside(three: Three) -> list[Said]:
    told = []
    if three.origin < CORE["origin"][0] - 1e-9:
        told.append(said("Below origin 2 the system does not hold."))
    outer = [name for name, value in _named(three) if value > CORE[name][1] + 1e-9]
    if outer:
        told.append(
            said(
                "This is outside the core of the system: origins 2 to 7, aims 0 to 5, arrivals 0 to 4."
                " Try the line before you trust it."
            )
        )
    elif three.arrival < -1e-9:
        told.append(said("The arrival is below nought: this is another path, known for few numbers."))
    elif not SAFEST["origin"][0] <= three.origin <= SAFEST["origin"][1]:
        told.append(said("The system is safest for origins from 3.5 to 6 and arrivals from 0 to 4."))
    return told


def _named(three: Three) -> tuple[tuple[str, float], ...]:
    return (("origin", three.origin), ("aim", three.aim), ("arrival", three.arrival))


_DIFFER = {
    "origin": said(
        "The schools number this origin differently: %(ours)s here is %(theirs)s in the other school."
    ),
    "aim": said("The schools number this aim differently: %(ours)s here is %(theirs)s in the other school."),
    "arrival": said(
        "The schools number this arrival differently: %(ours)s here is %(theirs)s in the other school."
    ),
}


def _schools(asked: Question, school: School, three: Three) -> list[Said]:
    """Warn of places that the two schools number differently."""
    other = SCHOOLS["european" if asked.outer == "linear" else "linear"]
    told = []
    for (name, value), ours, theirs in zip(
        _named(three),
        (school.origins, school.aims, school.arrivals),
        (other.origins, other.aims, other.arrivals),
        strict=True,
    ):
        same_place = theirs.number(ours.place(value))
        if value > CORE[name][1] and abs(same_place - value) > 0.005:
            told.append(Said(_DIFFER[name].template, {"ours": number(value), "theirs": number(same_place)}))
    if three.origin == CORNER:
        told.append(said("The corner has no mark: books differ on where exactly 5 stands."))
    return told


def _shape(asked: Question, school: School, three: Three) -> list[Said]:
    """Warn of first legs and cue balls on which the numbers depend on more than the marks."""
    told = []
    start, end = school.origin_point(three.origin), school.aim_point(three.aim)
    if degrees(atan2(end[1] - start[1], end[0] - start[0])) > STEEP:
        told.append(
            said(
                "The first leg is steep: the rebound depends on the speed. Aim a little farther up,"
                " or hit faster than the sum says."
            )
        )
    if asked.cue_ball is not None:
        x, y = asked.cue_ball
        near = min(x, WIDTH - x, y, LENGTH - y) < NEAR_RAIL
        if near and WIDTH - x > FAR_FROM_FIRST:
            told.append(
                said(
                    "The cue ball lies near a rail and far from the first one: a raised cue curves it,"
                    " and it comes long."
                )
            )
    return told


def _table(asked: Question, three: Three) -> list[Said]:
    """Warn where the way from the third rail depends on the origin and on the table."""
    told: list[Said] = []
    if three.arrival < 0:
        return told
    far = asked.ball is None or asked.ball[0] > NO_CORRECTION
    if far and not asked.correct and abs(three.origin - CORNER) >= 0.5:
        told.append(
            said(
                "Off the third rail this origin comes short: ask for the correction if the ball lies far from it."
            )
            if three.origin < CORNER
            else said(
                "Off the third rail this origin comes long: ask for the correction if the ball lies far from it."
            )
        )
    told.append(
        said(
            "Whether the table plays long or short shows most at the fourth rail: try 5 to 3, which arrives"
            " at 2 and runs into the corner, and shift the aim by what you see."
        )
    )
    return told
