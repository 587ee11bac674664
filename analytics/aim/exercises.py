"""Exercises with the diamonds: questions drawn by a seed, answered by the systems themselves.

The same level, seed and place in the run give the same question, for ever. All stand in the
systems' own place, the cue ball near the bottom-left corner.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from random import Random

from analytics.aim.diamonds.geometry import LENGTH, WIDTH, Point
from analytics.aim.diamonds.question import Answer, Question
from analytics.aim.diamonds.systems import answer
from analytics.aim.diamonds.tracks import track
from scoring.rules.said import Malformed

# A run is this long.
RUN = 10
# A number that is worked out must be met; one that is read off the table, nearly.
EXACT, READ = 0.02, 0.25
_EDGE = 0.3  # [diamonds] that balls lie off the noses
_TRIES = 200
FIXED = ("half", "base-30")


@dataclass(frozen=True)
class Exercise:
    """A question, which of its numbers is asked for, and the answer of the system.

    within : how far off an answer may be. fourth : the place on the fourth rail that the
    question names; None where it names none.
    """

    level: str
    question: Question
    find: str
    answer: Answer
    within: float
    fourth: Point | None = None

    @property
    def expected(self) -> float:
        """The number asked for."""
        value = getattr(self.answer, self.find)
        assert value is not None
        return float(value)

    def is_right(self, given: float) -> bool:
        """Whether a number answers the question."""
        return abs(given - self.expected) <= self.within + 1e-9


def exercise(level: str, seed: int, place: int) -> Exercise:
    """Return exercise number `place` of the run of a seed. Raises KeyError for an unknown level."""
    random = Random(f"{level}:{seed}")
    found = _drawn(level, random, None)
    for _ in range(place - 1):
        found = _drawn(level, random, found)
    return found


def _drawn(level: str, random: Random, before: Exercise | None) -> Exercise:
    """Return the next exercise of a run, another one than that before."""
    for _ in range(_TRIES):
        try:
            found = LEVELS[level](random)
        except (Malformed, _Unfit):
            # The system refuses what was drawn, or it asks too much; draw again.
            continue
        if before is None or found.question != before.question:
            return found
    raise AssertionError(f"no exercise of level {level} in {_TRIES} draws")


class _Unfit(Exception):
    """What was drawn makes no exercise."""


def _halves(low: float, high: float) -> list[float]:
    return [low + half / 2 for half in range(round(2 * (high - low)) + 1)]


def _numbers(level: str, random: Random, known: Question, finds: tuple[str, ...]) -> Exercise:
    """Return a question of plain numbers: what is asked for is left out of those known."""
    find, system = random.choice(finds), known.system
    full = answer(known)
    if full.arrival is None or full.arrival < 0:
        raise _Unfit
    asked = Question(
        system=system,
        origin=None if find == "origin" else full.origin,
        # Half and base 30 hold one number still: the origin alone is given.
        aim=None if find == "aim" or system in FIXED else full.aim,
        arrival=None if find == "arrival" or system in FIXED else full.arrival,
    )
    return Exercise(level, asked, find, answer(asked), EXACT)


def _sum(random: Random) -> Exercise:
    origin, arrival = random.choice(_halves(2.5, 7.0)), random.choice(_halves(0.5, 4.0))
    if origin > 5:
        origin = float(round(origin))
    aim = origin - arrival
    if not 0 <= aim <= 5:
        raise _Unfit
    return _numbers(
        "sum", random, Question(system="corner", origin=origin, aim=aim), ("aim", "aim", "arrival", "origin")
    )


def _on(line: tuple[Point, Point], share: float) -> Point:
    """Return a place on a line, to two decimals, as it can be written."""
    (x0, y0), (x1, y1) = line
    at = (round(x0 + (x1 - x0) * share, 2), round(y0 + (y1 - y0) * share, 2))
    if not (_EDGE <= at[0] <= WIDTH - _EDGE and _EDGE <= at[1] <= LENGTH - _EDGE):
        raise _Unfit
    return at


def _corner_line(random: Random, arrival: float) -> tuple[Point, Point]:
    origin = random.choice((*_halves(3.5, 5.0), 6.0, 7.0))
    if not 0 <= origin - arrival <= 5:
        raise _Unfit
    return answer(Question(system="corner", origin=origin, arrival=arrival)).line


def _origin(random: Random) -> Exercise:
    arrival = random.choice(_halves(1.0, 3.5))
    cue = _on(_corner_line(random, arrival), random.uniform(0.2, 0.6))
    asked = Question(system="corner", cue_ball=cue, arrival=arrival)
    return Exercise("origin", asked, "aim", answer(asked), READ)


def _ball(random: Random) -> Exercise:
    # Up to 2 the tracks are parallel, and the ball's arrival is a sum.
    arrival = random.choice(_halves(0.5, 2.0))
    cue = _on(_corner_line(random, arrival), random.uniform(0.2, 0.5))
    ball = _on(track(arrival), random.uniform(0.15, 0.5))
    asked = Question(system="corner", cue_ball=cue, ball=ball)
    return Exercise("ball", asked, "aim", answer(asked), READ)


def _correction(random: Random) -> Exercise:
    origin = random.choice((3.0, 3.5, 4.0, 4.5, 6.0, 7.0))
    asked = Question(
        system="corner", origin=origin, arrival=random.choice((0.5, 1.0, 1.5, 2.0, 3.0)), correct=True
    )
    found = answer(asked)
    if found.aim is None or found.aim > 5 or found.arrival is None or not 0 <= found.arrival <= 4:
        raise _Unfit
    return Exercise("correction", asked, "aim", found, EXACT)


def _fourth(random: Random) -> Exercise:
    # Published whole numbers, and halves where the tracks are parallel.
    asked = Question(system="corner", origin=5.0, arrival=random.choice((0.0, 0.5, 1.0, 1.5, 2.0, 3.0, 4.0)))
    found = answer(asked)
    return Exercise("fourth", asked, "aim", found, EXACT, found.points["fourth"])


def _plus(random: Random) -> Exercise:
    origin, aim = random.choice(_halves(2.0, 6.0)), float(random.choice(range(1, 6)))
    if origin + aim > 8:
        raise _Unfit
    return _numbers(
        "plus", random, Question(system="plus", origin=origin, aim=aim), ("aim", "aim", "arrival", "origin")
    )


def _others(random: Random) -> Exercise:
    system = random.choice(("one-rail", "two-rail", "half", "sid", "base-30"))
    origin = float(random.choice(range(3, 9)))
    if system == "half":
        return _numbers("others", random, Question(system=system, origin=origin), ("aim",))
    if system == "base-30":
        return _numbers(
            "others", random, Question(system=system, origin=random.choice(_halves(3.5, 5.0))), ("arrival",)
        )
    if system == "sid":
        arrival, origin = float(random.choice(range(1, 9))), float(random.choice((1, 2, 3)))
        return _numbers("others", random, Question(system=system, origin=origin, arrival=arrival), ("aim",))
    arrival = float(random.choice(range(1, int(origin) - 1)))
    return _numbers("others", random, Question(system=system, origin=origin, arrival=arrival), ("aim",))


LEVELS: Mapping[str, Callable[[Random], Exercise]] = {
    "sum": _sum,
    "origin": _origin,
    "ball": _ball,
    "correction": _correction,
    "fourth": _fourth,
    "plus": _plus,
    "others": _others,
}
